"""Participant cards: one page for one person, for a kind of person, or for everyone."""
