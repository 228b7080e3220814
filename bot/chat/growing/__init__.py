"""Crops, and what to do for them."""
