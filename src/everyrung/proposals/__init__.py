"""Whole sessions proposed from a coach's brief: columns of moves, chosen, ordered, dosed and tried."""
