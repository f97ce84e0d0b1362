"""Words as sound: a voice that speaks cues, and its clips kept on the disk. An extra: `everyrung[voice]`."""
