"""The daily work by turns: found in the morning, given to whoever is on call, answered, counted."""
