"""The finished run sheet that the stage reads: everything is decided, so that a show can't hang on a solver."""
