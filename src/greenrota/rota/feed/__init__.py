"""Harvested culture in bottles: rations day by day, and what they bring to the tank."""
