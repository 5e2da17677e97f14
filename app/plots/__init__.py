"""Plots and pictures; each is made from the result document and redrawn by patching its data."""
