"""What is usual and what is possible for every quantity."""
