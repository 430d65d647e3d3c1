"""Losing: what entries about loss and doubt do: crashed, skipped, cleared, condemned, discarded."""

from __future__ import annotations

from greenrota.culture.broth import ML_PER_L
from greenrota.errors import nearest
from greenrota.logbook.entry import Entry
from greenrota.rota import deed
from greenrota.rota.bench import Bench
from greenrota.rota.history import Crash
from greenrota.rota.page import MEASURED_ML, Page


def crashed(page: Page, entry: Entry, bench: Bench) -> None:
    standing = page.living(entry, bench)
    if standing is None:
        return
    since = entry.date("since") or entry.on
    cause = entry.text("cause") or "unknown"
    page.told.crashes.append(Crash(bench.vessel.name, standing.batch.id, entry.on, cause, since))
    page.diary.empty(bench, entry.on)


def skipped(page: Page, entry: Entry, bench: Bench) -> None:
    """A feed, a back-up or a preparation is let go; what a batch cannot do without is put off to the next day."""
    task = entry.text("task") or ""
    if task.rpartition("/")[2] in ("start", "harvest", "reseed", "renew"):
        page.told.put_off[bench.vessel.name] = entry.on
    else:
        page.told.done.add(task)


def judged(page: Page, entry: Entry) -> None:
    """Clear, condemn or discard a vessel, a batch or a bottle."""
    standing = page.shelf.standing.get(entry.subject)
    subject = standing.batch.id if standing is not None else entry.subject
    if standing is None and entry.kind == "discarded" and entry.subject in page.shelf.numbers:
        return  # a vessel that was harvested to the last drop is broken down
    if page.told.elsewhere.vessel(subject) is not None:
        page.told.elsewhere.take(entry)
    elif subject not in page.shelf.batches and subject not in page.shelf.filled:
        known = [*page.setting.benches, *page.shelf.filled, *page.shelf.batches]
        near = nearest(entry.subject, known)
        hint = f"did you mean {near}?" if near is not None else "name a vessel, a batch or a bottle"
        page.problem(entry, "log-unknown-subject", f'nothing is called "{entry.subject}"', hint)
    elif entry.kind == "cleared":
        page.cleared[subject] = entry.on
    elif subject in page.shelf.bottles:
        del page.shelf.bottles[subject]
    elif subject in page.shelf.batches:
        _pour_away(page, entry, subject)


def _pour_away(page: Page, entry: Entry, batch: str) -> None:
    bench = page.setting.benches.get(page.shelf.batches[batch].vessel)
    standing = None if bench is None else page.shelf.standing.get(bench.vessel.name)
    if bench is not None and standing is not None and standing.batch.id == batch:
        volume_ml = entry.volume_ml("volume")
        if volume_ml is not None and volume_ml < standing.broth.volume_l * ML_PER_L - MEASURED_ML:
            page.diary.bring_up_to(bench, entry.on)
            deed.take(page.shelf, bench, batch, volume_ml, entry.on)
            return
        page.diary.empty(bench, entry.on)
        page.told.done |= {f"{batch}/renew", f"{batch}/harvest"}
