"""Settings of all tests: a slow machine is no failure, so generated cases have no time limit."""

import os

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.register_profile("few", deadline=None, max_examples=10, derandomize=True, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "patient"))
