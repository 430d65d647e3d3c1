"""The logbook: one entry a line, appended and never rewritten."""
