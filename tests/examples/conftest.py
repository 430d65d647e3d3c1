"""Settings of the tests of the example plans, which other tests plan too."""

from remembered import _searches_remembered  # noqa: F401 - a fixture of all tests here
