"""What comes out: the analysis of a plan, its rehearsal, a rung's demand; each to look at, as JSON and as tables."""
