"""Settings of all tests: a slow machine is no failure, so generated cases have no time limit.

The suite generates the same cases everywhere, so that it says the same everywhere;
`HYPOTHESIS_PROFILE=chance` draws new ones.
"""

import os

from hypothesis import settings

settings.register_profile("patient", deadline=None, derandomize=True, database=None)
settings.register_profile("chance", deadline=None)
settings.register_profile("few", deadline=None, max_examples=10, derandomize=True, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "patient"))
