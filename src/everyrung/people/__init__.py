"""The people of a session as files: read, checked, written; what they said of their health in a file of its own."""
