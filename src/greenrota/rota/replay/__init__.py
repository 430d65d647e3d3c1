"""Replay: the logbook read into the state on a day."""
