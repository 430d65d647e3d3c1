"""Labels for vessels and bottles."""
