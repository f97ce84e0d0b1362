"""The studio: a small web app over the pipeline."""
