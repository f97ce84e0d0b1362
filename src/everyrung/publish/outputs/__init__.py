"""An output a module: every module here is read for what `@output` marks, so an output is one file and no list."""
