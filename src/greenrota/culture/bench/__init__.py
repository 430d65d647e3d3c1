"""What is done at the bench: inoculum, doses, counts, readings, bleach."""
