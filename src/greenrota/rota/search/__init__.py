"""Search: decisions proposed, simulated and scored."""
