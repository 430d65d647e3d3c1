"""Commands for paper and calendar."""
