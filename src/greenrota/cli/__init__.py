"""The command line: the only place that reads clock, disk and argv, prints and exits."""
