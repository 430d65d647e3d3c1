"""Tasks as words: by day and visit, as lists, their reasons, changes and supplies."""
