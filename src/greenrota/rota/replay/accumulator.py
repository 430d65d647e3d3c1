"""Accumulator for replay: the state while the logbook is being read, and what an entry leaves unsaid."""

from __future__ import annotations

from datetime import date

from greenrota.culture.bench import inoculum
from greenrota.culture.bench.count import seen_per_ml
from greenrota.culture.bench.instrument import measured_ml
from greenrota.culture.growth.broth import ML_PER_L, Broth, bench_ceiling_per_ml
from greenrota.errors import Problem
from greenrota.logbook.entry import Entry
from greenrota.rota.replay.logged import DoubtfulCount, LoggedState
from greenrota.rota.simulate.context import Context
from greenrota.rota.state import actions
from greenrota.rota.state.backups import MOST_BACKUP_ML
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.lineage import Outbreak
from greenrota.rota.state.state import Culture, State

MEASURED_ML = 0.5  # half a millilitre: nobody measures finer; our choice
INOCULUM_SHARE = 0.20  # of the fill, where a start does not say how much; our choice
BANK_SHARE = 0.10  # of the fill, where a back-up does not say how much; our choice
UNKNOWN_SOURCE = "starter:unknown"
LOW_COUNT_SHARE = 0.2  # of the projection: a count below it asks whether the culture has crashed; our choice


class Replay:
    """Mutable accumulator for replay. `cleared` is the day on which a batch or bottle was found clean.

    `outbreaks` are what makes others suspect, in the order of the logbook. `watered` are the ids of the prepare tasks
    whose water was poured. `own` are the names of the plan's vessels; the context may have more.
    """

    def __init__(self, context: Context, logged: LoggedState) -> None:
        self.context = context
        self.logged = logged
        self.recorder = logged.recorder
        self.state = logged.recorder.state
        self.cleared: dict[str, date] = {}
        self.outbreaks: list[Outbreak] = []
        self.watered: set[str] = set()
        self.own = frozenset(vessel.name for vessel in context.plan.vessels)

    def copy(self, as_of: date) -> Replay:
        """Where the reading stands, in a copy as of a day; either can go on without changing the other."""
        other = Replay(self.context, self.logged.copy(as_of))
        other.cleared, other.outbreaks = dict(self.cleared), list(self.outbreaks)
        other.watered = set(self.watered)
        return other

    def problem(self, entry: Entry, code: str, what: str, hint: str) -> None:
        """Note what could not be taken as written; not of a vessel that has left the plan, for its size is a guess."""
        if entry.subject in self.context.benches and entry.subject not in self.own:
            return
        self.logged.problems.append(Problem(code, entry.where, what, hint))

    def living(self, entry: Entry, bench: Bench) -> Culture | None:
        """The culture in a vessel; None, and a problem, if it is empty."""
        culture = self.state.cultures.get(bench.vessel.name)
        if culture is None:
            what = f"{entry.kind} {bench.vessel.name}, but nothing stands in it on {entry.on}"
            self.problem(entry, "log-empty-vessel", what, "was a start left out?")
        return culture

    def count_if_logged(self, entry: Entry, bench: Bench) -> None:
        """Put the density that the entry gives, if it gives one, in place of the projected one."""
        try:
            density = logged_density_per_ml(entry)
        except ValueError as error:
            hint = "the count is not used; take it back with a void and log it again"
            self.problem(entry, "log-count", str(error), hint)
            return
        name = bench.vessel.name
        if density is None or name not in self.state.cultures:
            return
        self._note_doubtful_count(entry, self.state.cultures[name], density)
        actions.count(self.state, bench, density, entry.on)

    def _note_doubtful_count(self, entry: Entry, culture: Culture, counted_per_ml: float) -> None:
        """Keep a count that is far below the projection; a later one that is not takes it away."""
        projected_per_ml = culture.broth.density_per_ml
        self.logged.doubtful_counts.pop(culture.batch.vessel, None)
        if entry.kind == "counted" and counted_per_ml < LOW_COUNT_SHARE * projected_per_ml:
            self.logged.doubtful_counts[culture.batch.vessel] = DoubtfulCount(
                culture.batch.vessel, culture.batch.id, entry.on, counted_per_ml, projected_per_ml
            )

    def pour(self, entry: Entry, bench: Bench, label_doses_l: float) -> None:
        """Note what was poured out of the nutrient bottle: as logged, else the label dose as a syringe shows it."""
        nutrient = bench.nutrient
        logged_ml = entry.volume_ml("nutrient")
        dose_ml = label_doses_l * nutrient.dose_ml_per_l
        poured_ml = (measured_ml(dose_ml) or dose_ml) if logged_ml is None else logged_ml
        for name in (nutrient.name, nutrient.other_part):
            if name is not None:
                self.logged.poured[name] = self.logged.poured.get(name, 0.0) + poured_ml

    def filled_l(self, entry: Entry, bench: Bench) -> float:
        """Litres the vessel was filled to: as logged, at most the brim, else its working volume."""
        logged_ml = entry.volume_ml("volume")
        if not logged_ml:  # not logged, or 0: a batch of nothing is none
            return bench.vessel.fill_l
        return self.below_brim_l(entry, bench, logged_ml / ML_PER_L)

    def below_brim_l(self, entry: Entry, bench: Bench, filled_l: float) -> float:
        """The litres a vessel was filled to, at most the brim; a problem if they are more."""
        vessel, filled_ml = bench.vessel, filled_l * ML_PER_L
        if filled_ml > vessel.brim_l * ML_PER_L + MEASURED_ML:
            what = f"{filled_ml:.0f} mL in {vessel.name}, which holds {vessel.brim_l * ML_PER_L:.0f} mL to the brim"
            self.problem(entry, "log-brim", what, "taken as full; correct it with a void if it is a slip")
        return min(filled_l, vessel.brim_l)

    def held_ml(self, source: str) -> float | None:
        """What a fridge bottle or a living batch holds, in mL; None if there is no such one."""
        bottle = self.state.bottles.get(source)
        if bottle is not None:
            return bottle.volume_ml
        living = {culture.batch.id: culture for culture in self.state.cultures.values()}.get(source)
        return None if living is None else living.broth.volume_l * ML_PER_L


def as_measured(volume_ml: float, held_ml: float | None) -> float:
    """What was taken, in mL: all of `held_ml` where the logged volume differs from it by less than can be measured."""
    return held_ml if held_ml is not None and abs(volume_ml - held_ml) <= MEASURED_ML else volume_ml


def logged_density_per_ml(entry: Entry) -> float | None:
    """The density that an entry gives, in cells per mL; None without one. A written density goes before counted cells.

    Raises ValueError where the cells and squares of a count can not be, such as half a cell or no square.

    >>> from greenrota.logbook.entry import parse_line
    >>> logged_density_per_ml(parse_line("2027-02-05 counted north cells=61 squares=4 dilution=2"))
    305000.0
    """
    written = entry.density_per_ml("density")
    if written is not None or entry.kind != "counted":
        return written
    cells, squares, dilution = (entry.figure(key) for key in ("cells", "squares", "dilution"))
    if cells is None or squares is None:
        return None
    return seen_per_ml(cells, squares, 1.0 if dilution is None else dilution)


def likely_source(state: State, bench: Bench, on: date) -> str:
    """The oldest bottle of the strain that was on hand, for a start that does not say where it came from."""
    fitting = [b for b in state.bottles.values() if b.strain == bench.strain.name and b.filled <= on]
    return min(fitting, key=lambda b: (b.filled, b.id)).id if fitting else UNKNOWN_SOURCE


def usual_inoculum_ml(bench: Bench) -> float:
    """The usual inoculum of a vessel in mL."""
    return INOCULUM_SHARE * bench.vessel.fill_l * ML_PER_L


def usual_back_up_ml(bench: Bench) -> float:
    """The usual back-up bottle of a vessel in mL; no larger than one that the rota plans unasked."""
    return min(BANK_SHARE * bench.vessel.fill_l * ML_PER_L, MOST_BACKUP_ML)


def guessed_inoculum(bench: Bench, volume_ml: float, on: date) -> Broth:
    """An inoculum of unknown density, taken to start the vessel at the least share of its ceiling."""
    fill_l = bench.vessel.fill_l
    start_per_ml = inoculum.MIN_START_SHARE * bench_ceiling_per_ml(bench.strain, fill_l)
    density = start_per_ml * fill_l * ML_PER_L / max(volume_ml, 1.0)
    return bench.bottled(volume_ml / ML_PER_L, density, on, on)
