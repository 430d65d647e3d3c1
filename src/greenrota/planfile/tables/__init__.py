"""The tables of a plan file: their keys, and what each key means."""
