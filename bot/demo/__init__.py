"""The demo: an invented garden, its invented weather, and what its invented people answer."""
