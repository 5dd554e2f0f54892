"""Tankful: how to heat a home's water with the sun."""

__version__ = "0.1.0"
