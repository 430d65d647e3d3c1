"""Settings of the tests of whole rotas."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from greenrota.rota.search import search
from greenrota.rota.state import cycle


@pytest.fixture(scope="module")
def few_walks() -> Iterator[None]:
    """A search of a few walks: the laws of a rota hold for every date the search may choose, good or bad."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "FEWEST_BATCHES", 20)
        patch.setattr(search, "MOST_BATCHES", 40)
        patch.setattr(search, "EXACT_BATCHES", 40)
        yield


@pytest.fixture(scope="session", autouse=True)
def cycles_chosen_afresh() -> None:
    """Collecting the tests may choose cycles, and a choice is kept."""
    cycle._choose.cache_clear()
