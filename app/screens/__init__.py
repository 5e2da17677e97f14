"""One module a step; each builds its widgets once, lazily, and is refreshed by patching them."""
