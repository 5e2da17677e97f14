"""Fettle's engine: from body and measured carries to a set of clubs, in numpy and scipy alone."""

__version__ = "0.1.0"
