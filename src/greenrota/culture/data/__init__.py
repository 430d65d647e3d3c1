"""Strains, media and handbook ranges: figures with their sources, and the records that hold them."""
