"""Tasks: what is done on which day, in amounts that instruments show; supplies."""
