"""A plan file read, checked as a whole and built; a blank one."""
