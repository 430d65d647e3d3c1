"""Harvest bottles and rations."""
