"""What endangers what, and a warning's life."""
