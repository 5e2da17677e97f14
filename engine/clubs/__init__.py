"""The bench: what clubs usually are, how they balance, and what it takes to make them otherwise."""
