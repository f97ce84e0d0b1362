"""Blocks of weeks: which evening trains what, how it rises from week to week, and whole sessions for it."""
