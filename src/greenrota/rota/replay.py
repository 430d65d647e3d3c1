"""Replay: the logbook folded into the state of the shelf on a day.

Every entry is taken as it stands; what cannot be (a vessel the plan does not know, more drawn than there was) becomes
a problem, the nearest possible thing is done, and nothing is dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from types import MappingProxyType

from greenrota.culture.broth import ML_PER_L
from greenrota.errors import nearest
from greenrota.logbook.entry import NO_VESSEL, Entry
from greenrota.rota import filling, lineage, losing
from greenrota.rota.bench import Bench
from greenrota.rota.deed import Shortfall
from greenrota.rota.diary import Diary
from greenrota.rota.history import History
from greenrota.rota.page import MEASURED_ML, Page
from greenrota.rota.setting import Setting
from greenrota.rota.shelf import Shelf, first_shelf


def replay(
    setting: Setting,
    entries: Iterable[Entry],
    as_of: date,
    watch: Callable[[Entry, Shelf], None] | None = None,
) -> History:
    """Fold the standing entries (voids gone, in order) up to and including a day. Replaying twice gives one state.

    `watch` is shown the shelf after each entry; it must not change it.
    """
    page = Page(setting, History(Diary(first_shelf(setting.plan), setting.memory), as_of))
    for entry in entries:
        if entry.on <= as_of:
            _take(page, entry)
            if watch is not None:
                watch(entry, page.shelf)
    outbreaks = [(crash.batch, crash.since) for crash in page.told.crashes if crash.cause == "contamination"]
    page.told.suspects = lineage.suspects(lineage.links(page.shelf), outbreaks, page.cleared)
    return page.told


BY_KIND: Mapping[str, Callable[[Page, Entry, Bench], None]] = MappingProxyType(
    {
        "prepared": filling.prepared,
        "started": filling.started,
        "fed": filling.fed,
        "harvested": filling.harvested,
        "reseeded": filling.reseeded,
        "counted": filling.counted,
        "banked": filling.banked,
        "crashed": losing.crashed,
        "skipped": losing.skipped,
    }
)


def _take(page: Page, entry: Entry) -> None:
    """Apply one entry."""
    if entry.kind == "note" or entry.subject == NO_VESSEL:
        return
    if entry.kind in ("cleared", "condemned", "discarded"):
        losing.judged(page, entry)
        return
    bench = page.setting.benches.get(entry.subject)
    if bench is None:
        _unknown_vessel(page, entry)
        return
    page.diary.bring_up_to(bench, entry.on)
    try:
        BY_KIND[entry.kind](page, entry, bench)
    except Shortfall as short:
        page.problem(entry, "log-not-enough", str(short), "check the amounts, or correct with a void")
    for standing in list(page.shelf.standing.values()):
        if standing.broth.volume_l * ML_PER_L <= MEASURED_ML:
            page.diary.empty(page.setting.benches[standing.batch.vessel], entry.on)


def _unknown_vessel(page: Page, entry: Entry) -> None:
    """Said once for each such vessel: one that has left the plan may have a hundred entries."""
    if not page.told.elsewhere.take(entry):
        return
    near = nearest(entry.subject, page.setting.benches)
    hint = f"did you mean {near}?" if near is not None else "it may have left the plan; its entries are kept"
    page.problem(entry, "log-unknown-vessel", f'the plan has no vessel "{entry.subject}"', hint)
