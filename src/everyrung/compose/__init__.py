"""Changes of a session that are tried before they are offered."""
