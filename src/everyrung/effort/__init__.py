"""Fatigue, the audience and what it can finish."""
