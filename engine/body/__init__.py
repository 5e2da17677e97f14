"""The player's body: survey figures, posture over a club, grip size, and sizes to start from."""
