"""The garden, its plots and places; records in and out."""
