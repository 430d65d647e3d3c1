"""Settings of the tests of whole rotas."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import nullcontext

import pytest
from remembered import remembering

from greenrota.rota.state import cycle

# Where a search itself is asked about: twice the same, with and without a cache, how often, cut short.
SEARCHED_ANEW = (
    "test_search.py",
    "test_core_laws.py",
    "test_cache.py",
    "test_earlier.py",
    "test_cut_short.py",
)


@pytest.fixture(scope="module", autouse=True)
def searches_remembered(request: pytest.FixtureRequest) -> Iterator[None]:
    """A life is planned day by day, and once more for the rota that is looked at: from the same facts."""
    with nullcontext() if request.path.name in SEARCHED_ANEW else remembering():
        yield


@pytest.fixture(scope="session", autouse=True)
def cycles_chosen_afresh() -> None:
    """Collecting the tests may choose cycles, and a choice is kept."""
    cycle._choose.cache_clear()
