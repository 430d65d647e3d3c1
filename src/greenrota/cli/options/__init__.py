"""Options and arguments: what commands share, how they are read and completed."""
