"""Buildbook: one notebook for a mains-powered build, from a heap of parts to a finished, measured unit."""

__version__ = "0.1.0"
