"""The player: one page that leads a participant through a session, with the rung that suits them, and no network."""
