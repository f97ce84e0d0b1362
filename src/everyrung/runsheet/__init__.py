"""The run sheet: the one finished artefact of a session, which all that is shown of it reads."""
