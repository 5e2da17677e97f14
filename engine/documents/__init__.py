"""Documents in and out: the case, its fields, reading it, the result, and the schemas of both."""
