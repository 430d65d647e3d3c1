"""Bench arithmetic without a plan."""
