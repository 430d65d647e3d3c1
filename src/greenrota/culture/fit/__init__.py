"""Counts fitted: rate, ceiling and ripe day with their intervals."""
