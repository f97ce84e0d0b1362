"""Weeks: what is learned of people from one evening to the next, and which step comes when."""
