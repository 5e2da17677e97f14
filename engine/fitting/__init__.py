"""A fitting: all that follows from one case, and the sections of the result document."""
