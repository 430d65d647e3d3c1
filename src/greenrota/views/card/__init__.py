"""Dose cards of nutrient bottles and vessels."""
