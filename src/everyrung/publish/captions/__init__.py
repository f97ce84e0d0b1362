"""Captions: fitted to what is said, written as WebVTT and SubRip, and read back tolerantly from other tools."""
