"""What really happened, laid beside the plan: transcripts of a session as it was led."""
