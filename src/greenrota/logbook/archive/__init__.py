"""Archives: entries of earlier years in files of their own, which the logbook names and which are read before it."""
