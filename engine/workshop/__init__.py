"""The workshop: what clubs usually are, how they balance, and what it takes to change them."""
