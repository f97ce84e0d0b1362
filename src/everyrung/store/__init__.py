"""Where Everyrung keeps things."""
