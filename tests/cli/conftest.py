"""Settings of the tests of commands."""

from remembered import _searches_remembered  # noqa: F401 - a fixture of all tests here
