"""greenrota: a batch planner for a home microalgae culture rotation."""

__version__ = "0.1.0"
