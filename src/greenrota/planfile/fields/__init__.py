"""Kinds of field: what a key may hold, and how it is read."""
