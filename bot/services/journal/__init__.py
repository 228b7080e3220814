"""The journal: what members report from the plot, kept."""
