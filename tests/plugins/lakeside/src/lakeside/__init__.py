"""What one boathouse adds to Everyrung: a rule and an output of its own."""
