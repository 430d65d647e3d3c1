"""Reading a plan file: TOML text with units becomes the records of `rota/plan.py`, or a list of problems."""
