"""Settings of all tests: a slow machine is no failure, so generated cases have no time limit.

The suite generates the same cases everywhere, so that it says the same everywhere;
`HYPOTHESIS_PROFILE=chance` draws new ones.
"""

import os
from datetime import date

import pytest
from hypothesis import settings

from greenrota.cli.system import clock

TODAY = date(2026, 12, 1)  # before every plan of the tests: what the real day is changes no test

settings.register_profile("patient", deadline=None, derandomize=True, database=None)
settings.register_profile("chance", deadline=None)
settings.register_profile("few", deadline=None, max_examples=10, derandomize=True, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "patient"))


@pytest.fixture(autouse=True)
def _no_search_is_remembered_between_tests(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also for programs that a test starts."""
    monkeypatch.setenv("GREENROTA_CACHE", "")


@pytest.fixture(autouse=True)
def _a_day_before_every_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the program takes for today, where a test does not say otherwise."""
    monkeypatch.setattr(clock, "today", lambda: TODAY)


# Where the decisions themselves count: the search against enumeration, and pages that a person's run must match.
WHOLE_SEARCH = ("tests/docs/", "tests/examples/", "tests/rota/test_search.py", "tests/rota/test_why.py")


@pytest.fixture(autouse=True)
def short_search(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A short search: what the tests hold is true of every rota the search may choose, good or bad."""
    from greenrota.rota.search import search

    where = request.node.path.as_posix()
    if not any(part in where for part in WHOLE_SEARCH):
        monkeypatch.setattr(search, "FEWEST_BATCHES", 100)
        monkeypatch.setattr(search, "MOST_BATCHES", 400)
        monkeypatch.setattr(search, "EXACT_BATCHES", 400)
