"""The player's body: what surveys say of it, how it stands over a club, and the grip that fits its hand."""
