"""The session's beeps as sound: where they fall, how they sound, how loud they are, and the files that carry them."""
