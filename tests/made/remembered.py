"""Searches for dates that are remembered over a run of the tests.

A search is a pure function, and most tests of pages and commands plan the same few shelves again and again. What is
remembered is found by all that went in, byte for byte: plan, state, dates to be kept, and the bounds of the search. One
that is watched (`progress`) is never answered from memory. The processes of one run share what took long, in a folder
of that run.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import time
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

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
LONG_SECONDS = 0.2  # our choice: well above what it takes to read one
_found: OrderedDict[bytes, SearchResult] = OrderedDict()
_folder: Path | None = None  # of this run; none where it is one process


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
        _found[key] = _of_all(key) or _searched(key, context, start_state, previous, budget, most)
        if len(_found) > MOST:
            _found.popitem(last=False)
    _found.move_to_end(key)
    return _found[key]


def _searched(
    key: bytes, context: Context, start_state: StartState, previous: Decisions, budget: int | None, most: int
) -> SearchResult:
    began = time.process_time()
    found = searching.search(context, start_state, previous, None, budget, most)
    if _folder is not None and time.process_time() - began > LONG_SECONDS:
        made = _folder / f"{os.getpid()}"
        made.write_bytes(pickle.dumps(found))
        made.replace(_folder / key.hex())
    return found


def _of_all(key: bytes) -> SearchResult | None:
    """What a process of this run found."""
    if _folder is None or not (_folder / key.hex()).exists():
        return None
    found: SearchResult = pickle.loads((_folder / key.hex()).read_bytes())
    return found


@contextmanager
def remembering(run: Path | None = None) -> Iterator[None]:
    """Searches of rotas and of smallest shelves are remembered; with the folder of a run also by its processes."""
    global _folder
    if run is not None and "PYTEST_XDIST_WORKER" in os.environ:
        _folder = run / "searches"
        _folder.mkdir(exist_ok=True)
    with pytest.MonkeyPatch.context() as patch:
        for module in (way, size):
            patch.setattr(module, "search", search)
        yield


@pytest.fixture(scope="module", autouse=True)
def _searches_remembered(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Imported by the `conftest.py` of a folder, this holds for all its tests."""
    with remembering(tmp_path_factory.getbasetemp().parent):
        yield
