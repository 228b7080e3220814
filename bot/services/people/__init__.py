"""Members: what they wish and can, their keys, who speaks for whom, their privacy."""
