"""The command line: the only place that reads clock, disk and argv, prints and exits."""

import gc

# A command lives for a second and makes few cycles; looking for them after every 700 objects costs a tenth of that.
# Set before anything large is loaded, for that makes objects too.
gc.set_threshold(100_000)
