"""How the database came to its present form, one step a file."""
