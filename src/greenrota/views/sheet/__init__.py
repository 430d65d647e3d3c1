"""The task sheet."""
