"""Everyrung: one session, a rung for everyone."""

__version__ = "0.1.0"
