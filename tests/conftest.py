"""Settings of all tests: a slow machine is no failure, so generated cases have no time limit.

The suite generates the same cases everywhere, so that it says the same everywhere;
`HYPOTHESIS_PROFILE=chance` draws new ones.
"""

import os
from collections.abc import Iterator
from datetime import date

import pytest
from hypothesis import settings

from greenrota.cli.system import clock

TODAY = date(2026, 12, 1)  # before every plan of the tests: what the real day is changes no test

settings.register_profile("patient", deadline=None, max_examples=60, derandomize=True, database=None)
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


# Where the decisions themselves count: pages that a person's run must match.
WHOLE_SEARCH = ("tests/docs/", "tests/examples/")
WORDS_ALONE = ("tests/docs/test_words.py", "tests/docs/test_reference.py")  # whatever dates they are about
# Pages that are kept word for word.
SHORT_SEARCH = ("tests/views/",)


def bound_search(patch: pytest.MonkeyPatch, fewest: int, most: int, exact: int) -> None:
    """Let a search walk through so many batches: the fewest in a large plan, the most in a small one."""
    from greenrota.rota.search import search

    patch.setattr(search, "FEWEST_BATCHES", fewest)
    patch.setattr(search, "MOST_BATCHES", most)
    patch.setattr(search, "EXACT_BATCHES", exact)


@pytest.fixture(scope="module", autouse=True)
def few_walks(request: pytest.FixtureRequest) -> Iterator[tuple[int, int, int]]:
    """A search of a few walks: what the tests hold is true of every rota the search may choose, good or bad.

    It holds for the fixtures of a module too; a test that bounds the search itself comes after it. Gives the bounds
    of the program.
    """
    from greenrota.rota.search import search

    where = request.path.as_posix()
    bounds = (search.FEWEST_BATCHES, search.MOST_BATCHES, search.EXACT_BATCHES)
    with pytest.MonkeyPatch.context() as patch:
        if any(part in where for part in SHORT_SEARCH):
            bound_search(patch, 100, 400, 400)
        elif not any(part in where for part in WHOLE_SEARCH) or where.endswith(WORDS_ALONE):
            bound_search(patch, 20, 40, 40)
        yield bounds


@pytest.fixture
def longer_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search long enough to weigh one way against another, for a test that asks what it chooses."""
    bound_search(monkeypatch, 100, 400, 400)


@pytest.fixture
def whole_search(few_walks: tuple[int, int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    """The search of the program, for a test that asks how good its dates are."""
    bound_search(monkeypatch, *few_walks)
