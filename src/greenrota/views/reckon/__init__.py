"""Answers of bench arithmetic."""
