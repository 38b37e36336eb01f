"""A pot day: what to weigh, and when what is on the stove."""
