"""Losing: what entries about loss and doubt do: crashed, skipped, cleared, condemned, discarded."""

from __future__ import annotations

import difflib

from greenrota.culture.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota.replay.logged import Crash
from greenrota.rota.replay.page import MEASURED_ML, Replay
from greenrota.rota.state import actions
from greenrota.rota.state.bench import Bench


def crashed(run: Replay, entry: Entry, bench: Bench) -> None:
    culture = run.living(entry, bench)
    if culture is None:
        return
    since = entry.date("since") or entry.on
    cause = entry.text("cause") or "unknown"
    run.logged.crashes.append(Crash(bench.vessel.name, culture.batch.id, entry.on, cause, since))
    run.recorder.empty(bench, entry.on)


def skipped(run: Replay, entry: Entry, bench: Bench) -> None:
    """A feed, a back-up or a preparation is let go; what a batch cannot do without is put off to the next day."""
    task = entry.text("task") or ""
    if task.rpartition("/")[2] in ("start", "harvest", "reseed", "renew"):
        run.logged.put_off[bench.vessel.name] = entry.on
    else:
        run.logged.done.add(task)


def judged(run: Replay, entry: Entry) -> None:
    """Clear, condemn or discard a vessel, a batch or a bottle."""
    culture = run.state.cultures.get(entry.subject)
    subject = culture.batch.id if culture is not None else entry.subject
    if culture is None and entry.kind == "discarded" and entry.subject in run.state.numbers:
        return  # a vessel that was harvested to the last drop is broken down
    if run.logged.gone_vessels.vessel(subject) is not None:
        run.logged.gone_vessels.take(entry)
    elif subject not in run.state.batches and subject not in run.state.filled:
        known = [*run.context.benches, *run.state.filled, *run.state.batches]
        close = difflib.get_close_matches(entry.subject, known, n=1)
        hint = f"did you mean {close[0]}?" if close else "name a vessel, a batch or a bottle"
        run.problem(entry, "log-unknown-subject", f'nothing is called "{entry.subject}"', hint)
    elif entry.kind == "cleared":
        run.cleared[subject] = entry.on
    elif subject in run.state.bottles:
        del run.state.bottles[subject]
    elif subject in run.state.batches:
        _pour_away(run, entry, subject)


def _pour_away(run: Replay, entry: Entry, batch: str) -> None:
    bench = run.context.benches.get(run.state.batches[batch].vessel)
    culture = None if bench is None else run.state.cultures.get(bench.vessel.name)
    if bench is not None and culture is not None and culture.batch.id == batch:
        volume_ml = entry.volume_ml("volume")
        if volume_ml is not None and volume_ml < culture.broth.volume_l * ML_PER_L - MEASURED_ML:
            run.recorder.bring_up_to(bench, entry.on)
            actions.take(run.state, bench, batch, volume_ml, entry.on)
            return
        run.recorder.empty(bench, entry.on)
        run.logged.done |= {f"{batch}/renew", f"{batch}/harvest"}
