"""For the film: chapters, captions, an edit list, an overlay and stills, at the recording's own times."""
