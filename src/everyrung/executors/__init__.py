"""Where much work is computed: here, by processes of this machine, or on a cluster of machines."""
