"""Commands for planning."""
