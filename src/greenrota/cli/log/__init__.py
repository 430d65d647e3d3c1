"""`greenrota log`: new entries of the logbook."""
