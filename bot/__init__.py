"""Gatepost: a garden group's helper in their chat."""
