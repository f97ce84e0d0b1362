"""One function a rule, one signature: a session and its timeline in, findings out."""
