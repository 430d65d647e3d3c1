"""Settings of all tests: a slow machine is no failure, so generated cases have no time limit."""

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
