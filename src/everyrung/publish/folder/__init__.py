"""Everything that participants and a channel need from one plan, in one folder with a manifest."""
