"""Searches for dates that are remembered over a run of the tests.

A search is a pure function, and most tests of pages and commands plan the same few shelves again and again. What is
remembered is found by all that went in, byte for byte: plan, state, dates to be kept, and the bounds of the search. One
that is watched (`progress`) is never answered from memory.
"""

from __future__ import annotations

import hashlib
import pickle
from collections import OrderedDict
from collections.abc import Iterator

import pytest

from greenrota.risk import size
from greenrota.rota.earlier import way
from greenrota.rota.search import search as searching
from greenrota.rota.search.search import SearchResult
from greenrota.rota.search.trials import Progress
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.start import StartState

MOST = 500  # searches; some hundred kB each
_found: OrderedDict[bytes, SearchResult] = OrderedDict()


def search(
    context: Context,
    start_state: StartState,
    previous: Decisions,
    progress: Progress | None = None,
    budget: int | None = None,
    most: int = searching.MOST_BATCHES,
) -> SearchResult:
    """As the search itself."""
    if progress is not None:
        return searching.search(context, start_state, previous, progress, budget, most)
    bounds = {name: value for name, value in vars(searching).items() if name.isupper()}
    key = hashlib.sha256(pickle.dumps((context.plan, start_state, previous, budget, most, bounds))).digest()
    if key not in _found:
        _found[key] = searching.search(context, start_state, previous, None, budget, most)
        if len(_found) > MOST:
            _found.popitem(last=False)
    _found.move_to_end(key)
    return _found[key]


@pytest.fixture(scope="module", autouse=True)
def _searches_remembered() -> Iterator[None]:
    """Imported by the `conftest.py` of a folder, this holds for all its tests."""
    with pytest.MonkeyPatch.context() as patch:
        for module in (way, size):
            patch.setattr(module, "search", search)
        yield
