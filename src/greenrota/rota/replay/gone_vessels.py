"""Gone vessels: those that the logbook knows and the plan does not, with the batches still alive in them.

A vessel that was started and has left the plan is replayed all the same, for others were started from it, and bottles
filled from it stand in the fridge. Its size follows from what was logged; the rest is taken to be as in a vessel of
the plan. What lives in it is left out of the state, and counted so that a warning can name it. An entry about a vessel
that was never started is a slip: it changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota.plan import Plan, Vessel
from greenrota.rota.simulate.context import Context
from greenrota.rota.state.bench import bench_of
from greenrota.rota.state.cycle import cycle_for

_BRIM = 1.25  # of the fill, room for foam: our choice, the plan no longer says


@dataclass(slots=True)
class GoneVessels:
    """`living` is the batch that stands in each such vessel, `first` the first entry about each vessel, started or not.

    `unknown` are the names that were never started.
    """

    living: dict[str, str] = field(default_factory=dict)
    first: dict[str, Entry] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)

    def copy(self) -> GoneVessels:
        """A copy that can be changed without changing this one."""
        return GoneVessels(dict(self.living), dict(self.first), set(self.unknown))

    def met(self, entry: Entry) -> None:
        """Note the first entry about a vessel."""
        self.first.setdefault(entry.subject, entry)


def with_gone_vessels(context: Context, log: Sequence[Entry]) -> Context:
    """The place with the vessels that the logbook knows and the plan does not; the same where there are none."""
    if all(entry.subject in context.benches or entry.kind != "started" for entry in log):
        return context
    gone = gone_vessels_of(context.plan, log)
    benches = {vessel.name: bench_of(context.plan, vessel) for vessel in gone}
    weekdays = context.plan.work.weekdays
    cycles = {name: cycle_for(bench, context.plan.cycle, weekdays) for name, bench in benches.items()}
    return context._replace(benches={**context.benches, **benches}, cycles={**context.cycles, **cycles})


def gone_vessels_of(plan: Plan, log: Sequence[Entry]) -> tuple[Vessel, ...]:
    """The vessels that were started and are not in the plan, as far as the logbook tells of them.

    One whose culture came from a starter that is not in the plan either is left out: nobody knows what grew in it.
    """
    known = {vessel.name: vessel.strain for vessel in plan.vessels}
    own = set(known)
    for entry in log:
        if entry.kind == "started" and entry.subject not in known:
            strain = _strain(plan, known, entry.text("from"))
            if strain is not None:
                known[entry.subject] = strain
    fills_ml = _fills_ml(log, known.keys() - own)
    return tuple(_like(plan, name, known[name], fills_ml.get(name)) for name in known if name not in own)


def _like(plan: Plan, name: str, strain: str, fill_ml: float | None) -> Vessel:
    """A vessel as another one of its strain, or as the first of the plan, with the fill that was logged."""
    model = next((vessel for vessel in plan.vessels if vessel.strain == strain), plan.vessels[0])
    if fill_ml is None:
        return replace(model, name=name, strain=strain)
    fill_l = fill_ml / ML_PER_L
    return replace(model, name=name, strain=strain, fill_l=fill_l, brim_l=_BRIM * fill_l)


def _strain(plan: Plan, known: Mapping[str, str], source: str | None) -> str | None:
    """The strain that comes out of a source; that of the plan's first vessel where none is named."""
    if source is None:
        return plan.vessels[0].strain
    kind, _, name = source.rpartition(":")
    if kind == "starter":
        return next((starter.strain for starter in plan.starters if starter.name == name), None)
    return known.get(name) or known.get(name.rpartition("/")[0])


def _fills_ml(log: Sequence[Entry], names: set[str]) -> dict[str, float]:
    """The working volume of vessels, in mL, where it was logged: the most that a filling or a re-seed made up.

    A harvest tells of it with what stayed: as `keep`, or as the inoculum of a re-seed on its day. What was given to
    other vessels or put into the fridge since the filling before belongs to it too.
    """
    found: dict[str, float] = {}
    given: dict[str, float] = {}
    harvested: dict[tuple[str, date], float] = {}
    for entry in log:
        giver, given_ml = _gift(entry)
        given[giver] = given.get(giver, 0.0) + given_ml
        name, whole_ml = entry.subject, entry.volume_ml("volume") or 0.0
        if name not in names:
            continue
        if entry.kind == "harvested":
            harvested[name, entry.on] = whole_ml
            keep_ml = entry.volume_ml("keep")
            whole_ml = 0.0 if keep_ml is None else whole_ml + keep_ml
        elif entry.kind == "reseeded":
            kept_ml, harvest_ml = entry.volume_ml("inoculum"), harvested.get((name, entry.on), 0.0)
            if kept_ml is not None and harvest_ml:
                whole_ml = max(whole_ml, kept_ml + harvest_ml + given.get(name, 0.0))
            given[name] = 0.0
        elif entry.kind == "started":
            given[name] = 0.0
        else:
            continue
        if whole_ml > 0.0:
            found[name] = max(found.get(name, 0.0), whole_ml)
    return found


def _gift(entry: Entry) -> tuple[str, float]:
    """The vessel that an entry takes culture out of for another one or for the fridge, and how much, in mL."""
    if entry.kind == "banked":
        return entry.subject, entry.volume_ml("volume") or 0.0
    if entry.kind == "started":
        source = entry.text("from") or ""
        return source.rpartition("/")[0] or source, entry.volume_ml("inoculum") or 0.0
    return "", 0.0
