"""What the leader says: how long it takes, when it may be said, and where it fits."""
