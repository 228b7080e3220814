"""The season's dates."""
