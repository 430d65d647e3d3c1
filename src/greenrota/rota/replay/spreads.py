"""Spreads: how unsure the growth rate of each vessel still is, after what was counted of it up to a day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from greenrota.culture.fit.course import Event, Reading
from greenrota.culture.fit.estimate import Estimate, estimate_of_strain
from greenrota.culture.growth.broth import bench_ceiling_per_ml
from greenrota.culture.numeric.undetermined import Undetermined
from greenrota.logbook.entry import Entry
from greenrota.rota.replay.counts import Series, newest_counts
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.replay.replay import Moment, replays
from greenrota.rota.simulate.context import Context
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import State

if TYPE_CHECKING:
    from greenrota.culture.fit.update import Update

# our choice: that an estimate rests on, the newest; some months, and time does not grow with the book
MOST_COUNTS = 24


def replays_with_spreads(
    context: Context, log: Sequence[Entry], moments: Sequence[Moment]
) -> Iterator[tuple[LoggedState, Mapping[str, float]]]:
    """The states at some moments as `replays` gives them, each with the spreads of the growth rates, by vessel.

    A spread is the standard deviation of ln(rate). Only vessels of which something was counted by then have one.
    """
    counted = {entry.subject for entry in log if entry.kind == "counted" or "density" in dict(entry.values)}
    series = {
        name: Series(bench, moments[-1].on) for name, bench in context.benches.items() if name in counted
    }
    known: dict[tuple[Event, ...], float] = {}

    def see(entry: Entry, state: State) -> None:
        for each in series.values():
            each.see(entry, state)

    for logged in replays(context, log, moments, see if series else None):
        spreads = {}
        for name, each in series.items():
            events = newest_counts(each.counts(logged.planned_starts), MOST_COUNTS).events
            if any(isinstance(event, Reading) for event in events):
                if events not in known:
                    known[events] = _spread(context.benches[name], events)
                spreads[name] = known[events]
        yield logged, spreads


def before_counts(bench: Bench) -> Estimate:
    """What is known of rate and ceiling in a vessel's place without any count."""
    top_per_ml = bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
    return estimate_of_strain(bench.strain, bench.rate_per_day, top_per_ml)


def after_counts(before: Estimate, events: Sequence[Event]) -> Update | None:
    """What counts say on top of an estimate; None without one, or where they and the plan can not both be true."""
    if (
        not any(isinstance(each, Reading) for each in events)
        or min(before.rate_per_day, before.ceiling_per_ml) <= 0.0
    ):
        return None
    try:
        from greenrota.culture.fit.update import updated  # numpy is loaded where there are counts only

        return updated(before, events)
    except (
        Undetermined
    ):  # cells were counted where the plan's nutrients allow none: the counts can not be used
        return None


def _spread(bench: Bench, events: Sequence[Event]) -> float:
    update = after_counts(before_counts(bench), events)
    return bench.strain.rate_spread if update is None else update.after.rate_spread
