"""The plan file: the one door where text becomes numbers."""
