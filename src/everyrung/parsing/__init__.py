"""Reading TOML written by hand: typed fields, every fault with its line. Used for plans and moves alike."""
