"""Settings of the tests of nonsense: most mutants leave plan and logbook as they were, and so what is searched for."""

from remembered import _searches_remembered  # noqa: F401 - a fixture of all tests here
