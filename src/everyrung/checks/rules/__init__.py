"""A rule a function: every module here is read for what `@rule` marks, so a rule is one file and no list."""
