"""Settings of the tests of whole rotas."""

from __future__ import annotations

import pytest

from greenrota.rota.state import cycle


@pytest.fixture(scope="session", autouse=True)
def cycles_chosen_afresh() -> None:
    """Collecting the tests may choose cycles, and a choice is kept."""
    cycle._choose.cache_clear()
