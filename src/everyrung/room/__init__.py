"""The room: its file, what a rung sweeps, how many places there are, shared kit in waves, and the door."""
