"""Who does it, by when, and what came of it."""
