"""The seasonal calendar: written, published, changed, given as a file, and reminded of."""
