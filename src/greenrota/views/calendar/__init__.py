"""The calendar file."""
