"""What is reported from the plots."""
