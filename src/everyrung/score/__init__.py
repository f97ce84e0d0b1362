"""The score: a session drawn on one time axis, in lanes."""
