"""Ctrl-C while the dates are looked for: what was found so far, said so everywhere, and no more searching."""

from __future__ import annotations

from datetime import timedelta

import pytest
from made_logs import lived
from made_plans import START, example_plan, example_vessel

from greenrota.rota.earlier import way
from greenrota.rota.plan import Plan, Tank
from greenrota.rota.schedule import schedule

pytestmark = pytest.mark.usefixtures("longer_search")


def shelf() -> Plan:
    return example_plan(vessels=tuple(example_vessel(f"v{n}") for n in range(3)), tank=Tank(300.0, 500.0))


class Impatient:
    """Presses Ctrl-C once, after so many reports."""

    def __init__(self, after: int) -> None:
        self.left, self.told = after, 0

    def __call__(self, share: float) -> None:
        self.told += 1
        self.left -= 1
        if self.left == 0:
            raise KeyboardInterrupt


def test_the_rota_is_whole_and_says_it_was_cut_short() -> None:
    rota = schedule(shelf(), progress=Impatient(5))
    assert rota.found.cut_short and not rota.found.exact
    assert rota.tasks
    assert "search-cut-short" in {warning.code for warning in rota.warnings}
    whole = schedule(shelf())
    assert not whole.found.cut_short
    assert "search-cut-short" not in {warning.code for warning in whole.warnings}
    assert whole.found.score.total <= rota.found.score.total


def test_after_an_interrupt_no_later_day_is_searched() -> None:
    plan = shelf()
    entries = lived(plan, 4, seed=1, luck=1.0)
    assert len({entry.on for entry in entries}) >= 1
    impatient = Impatient(5)
    rota = schedule(plan, entries, START + timedelta(days=5), impatient)
    assert rota.found.cut_short
    assert impatient.told == 5
    assert rota.as_of == START + timedelta(days=5)


def test_progress_of_several_searches_is_one_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    # Each search tells 0.5 and 1: one for the first day, two for every logged day, one for the day itself.
    plan = shelf()
    entries = lived(plan, 4, seed=1, luck=1.0)
    days = {entry.on for entry in entries}
    search, shares = way.search, list[float]()

    def spoken(context, start_state, culture, progress, budget=None, most=0):  # type: ignore[no-untyped-def]
        progress(0.5)
        progress(1.0)
        return search(context, start_state, culture, None, 0)

    monkeypatch.setattr(way, "search", spoken)
    schedule(plan, entries, START + timedelta(days=9), shares.append)
    searches = 1 + 2 * len(days) + 1
    assert shares == pytest.approx([(n + 1) / (2 * searches) for n in range(2 * searches)])
