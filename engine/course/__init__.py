"""On the course and after the build: club for a distance, strokes, and the re-test."""
