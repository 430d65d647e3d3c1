"""Replay: the logbook read into the state on a day.

Every entry is taken as written. What cannot be (a vessel the plan does not know, more drawn than there was) becomes a
problem, and the nearest possible thing is done; no entry is dropped.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple, assert_never

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.errors import Problem, nearest
from greenrota.logbook.entry import NO_VESSEL, Entry
from greenrota.rota.replay import bottle_entries, entries, water_entries
from greenrota.rota.replay.accumulator import MEASURED_ML, Replay
from greenrota.rota.replay.bottle_entries import bar_bottles
from greenrota.rota.replay.gone_vessels import with_gone_vessels
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.simulate.cache import ActionCache
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.recorder import Recorder
from greenrota.rota.state.actions import Shortfall
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import State, first_state

Watch = Callable[[Entry, State], None]


def replay(context: Context, log: Iterable[Entry], as_of: date, watch: Watch | None = None) -> LoggedState:
    """The state after all entries up to and including a day. Replaying twice gives one state.

    `log` holds the entries that no void takes back, in order. `watch` is called with each entry and the state after
    it, which it must not change.
    """
    counted = [entry for entry in log if entry.on <= as_of]
    run = begun(with_gone_vessels(context, counted), as_of)
    for entry in counted:
        read(run, entry)
        if watch is not None:
            watch(entry, run.state)
    _conclude(run, context)
    return run.logged


class Moment(NamedTuple):
    """A day, in the morning before its entries or in the evening after them."""

    on: date
    evening: bool = True


def replays(
    context: Context, log: Sequence[Entry], moments: Sequence[Moment], watch: Watch | None = None
) -> Iterator[LoggedState]:
    """The states at some moments, in the order of the calendar: as `replay` gives them, but every entry is read once.

    `log` is in order of day; `watch` is called as by `replay`, up to the moment that is yielded.
    """
    run, place = begun(with_gone_vessels(context, log), context.plan.start), 0
    for on, evening in moments:
        while place < len(log) and (log[place].on < on or (evening and log[place].on == on)):
            read(run, log[place])
            if watch is not None:
                watch(log[place], run.state)
            place += 1
        judged = run.copy(on)
        _conclude(judged, context)
        yield judged.logged


def _conclude(run: Replay, context: Context) -> None:
    """Work out what is suspect, and leave out of the state what lives in vessels that are not in the plan (`context`).

    A problem for each of these, and for each vessel that was never started.
    """
    bar_bottles(run)
    gone, cultures = run.logged.gone_vessels, run.state.cultures
    gone.living = {
        name: cultures.pop(name).batch.id for name in list(cultures) if name not in context.benches
    }
    for name, entry in gone.first.items():
        if name in gone.living or name in gone.unknown:
            near = nearest(name, context.benches)
            hint = (
                f"did you mean {near}?"
                if near is not None
                else "it may have left the plan; its entries are kept"
            )
            what = f'the plan has no vessel "{name}"'
            run.logged.problems.append(Problem("log-unknown-vessel", entry.where, what, hint))


def begun(context: Context, as_of: date) -> Replay:
    """The reading of a logbook before its first entry."""
    # Every step is done once, so there is nothing to keep.
    recorder = Recorder(first_state(context.plan), ActionCache(keeps=False))
    return Replay(context, LoggedState(recorder, as_of))


def read(run: Replay, entry: Entry) -> None:
    """Read one entry: the next in order of day."""
    if entry.subject == NO_VESSEL:
        return
    match entry.kind:
        case "note" | "void":
            pass
        case "cleared" | "condemned" | "discarded":
            entries.judged(run, entry, entry.kind)
        case "suspected":
            bottle_entries.suspected(run, entry)
        case "given":
            bottle_entries.given(run, entry)
        case "given-away" | "measured":
            bottle_entries.bottle_changed(run, entry, entry.kind)
        case "prepared":
            _on_vessel(run, entry, water_entries.prepared)
        case "started":
            _on_vessel(run, entry, entries.started)
        case "topped-up":
            _on_vessel(run, entry, entries.topped_up)
        case "fed":
            _on_vessel(run, entry, entries.fed)
        case "harvested":
            _on_vessel(run, entry, entries.harvested)
        case "reseeded":
            _on_vessel(run, entry, entries.reseeded)
        case "counted":
            _on_vessel(run, entry, entries.counted)
        case "banked":
            _on_vessel(run, entry, entries.banked)
        case "crashed":
            _on_vessel(run, entry, entries.crashed)
        case "skipped":
            _on_vessel(run, entry, entries.skipped)
        case _:
            assert_never(entry.kind)


def _on_vessel(run: Replay, entry: Entry, apply: Callable[[Replay, Entry, Bench], None]) -> None:
    """Apply an entry about a vessel of the plan; one that is emptied by it to the last drop is an empty vessel."""
    bench = run.context.benches.get(entry.subject)
    if entry.subject not in run.own:
        run.logged.gone_vessels.met(entry)
    if bench is None:
        run.logged.gone_vessels.unknown.add(entry.subject)
        return
    run.recorder.bring_up_to(bench, entry.on)
    try:
        apply(run, entry, bench)
    except Shortfall as short:
        run.problem(entry, "log-not-enough", str(short), "check the amounts, or correct with a void")
    emptied = [each for each in run.state.cultures.values() if each.broth.volume_l * ML_PER_L <= MEASURED_ML]
    for culture in emptied:
        run.recorder.empty(run.context.benches[culture.batch.vessel], entry.on)
