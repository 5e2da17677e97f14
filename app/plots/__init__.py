"""Plots and pictures; each is made from the result and redrawn by patching its data."""
