"""The session as an animated video: the led rungs' figures moving at their tempo, with count, captions and sound."""
