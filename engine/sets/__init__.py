"""Sets of irons and wedges: planned, predicted, compared, and the verdict between them."""
