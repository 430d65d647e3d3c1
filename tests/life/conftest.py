"""Settings of the lived year: after every step all days before it are planned again, from the same facts."""

from remembered import _searches_remembered  # noqa: F401 - a fixture of all tests here
