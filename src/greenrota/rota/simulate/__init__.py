"""Simulation: the state carried forward day by day by rules and decisions."""
