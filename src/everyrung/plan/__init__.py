"""Plan files: reading, writing, and resolving until nothing is left open."""
