"""Measured shots: reading tables and text, setting mishits aside, summing up."""
