"""The session on the clock, and fitting it to a shorter or longer slot."""
