"""Audio description: what is seen in the film and not said, in words, placed into the silences of the cues."""
