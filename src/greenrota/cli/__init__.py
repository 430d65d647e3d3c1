"""The command line: the only place that reads clock, disk and argv, prints and exits."""

import gc

# A command lives for a second and makes some hundred cycles; looking for them after every 700 objects costs a tenth of
# that, and a year of a thousand vessels is more than a million objects.
# Set before anything large is loaded, for that makes objects too.
gc.set_threshold(1_000_000)
