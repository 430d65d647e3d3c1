"""Page: the state while the logbook is being read, and what every kind of entry needs of it."""

from __future__ import annotations

from datetime import date

from greenrota.culture.broth import ML_PER_L
from greenrota.culture.instrument import measured_ml
from greenrota.errors import Problem
from greenrota.logbook.entry import Entry
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.replay.told import logged_density_per_ml
from greenrota.rota.simulate.context import Context
from greenrota.rota.state import actions
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import Culture

MEASURED_ML = 0.5  # half a millilitre: nobody measures finer; our choice


class Replay:
    """A history in the making. `cleared` is the day on which a batch or bottle was found clean."""

    def __init__(self, context: Context, logged: LoggedState) -> None:
        self.context = context
        self.logged = logged
        self.recorder = logged.recorder
        self.state = logged.recorder.state
        self.cleared: dict[str, date] = {}

    def problem(self, entry: Entry, code: str, what: str, hint: str) -> None:
        self.logged.problems.append(Problem(code, entry.where, what, hint))

    def living(self, entry: Entry, bench: Bench) -> Culture | None:
        culture = self.state.cultures.get(bench.vessel.name)
        if culture is None:
            what = f"{entry.kind} {bench.vessel.name}, but nothing stands in it on {entry.on}"
            self.problem(entry, "log-empty-vessel", what, "was a start left out?")
        return culture

    def count_if_told(self, entry: Entry, bench: Bench) -> None:
        try:
            density = logged_density_per_ml(entry)
        except ValueError as error:
            hint = "the count is not used; take it back with a void and log it again"
            self.problem(entry, "log-count", str(error), hint)
            return
        if density is not None and bench.vessel.name in self.state.cultures:
            actions.count(self.state, bench, density, entry.on)

    def pour(self, entry: Entry, bench: Bench, label_doses_l: float) -> None:
        """Note what was poured out of the nutrient bottle: as told, else the label dose for so many litres
        as the syringe shows it."""
        nutrient = bench.nutrient
        told_ml = entry.volume_ml("nutrient")
        dose_ml = label_doses_l * nutrient.dose_ml_per_l
        poured_ml = (measured_ml(dose_ml) or dose_ml) if told_ml is None else told_ml
        for name in (nutrient.name, nutrient.other_part):
            if name is not None:
                self.logged.poured[name] = self.logged.poured.get(name, 0.0) + poured_ml

    def filled_l(self, entry: Entry, bench: Bench) -> float:
        """How far the vessel was filled: as told, at most to the brim, else to its working volume."""
        vessel, told_ml = bench.vessel, entry.volume_ml("volume")
        if not told_ml:  # not told, or nothing: then there would be no batch
            return vessel.fill_l
        if told_ml > vessel.brim_l * ML_PER_L + MEASURED_ML:
            what = f"{told_ml:.0f} mL in {vessel.name}, which holds {vessel.brim_l * ML_PER_L:.0f} mL to the brim"
            self.problem(entry, "log-brim", what, "taken as full; correct it with a void if it is a slip")
        return min(told_ml / ML_PER_L, vessel.brim_l)

    def held_ml(self, source: str) -> float | None:
        bottle = self.state.bottles.get(source)
        if bottle is not None:
            return bottle.volume_ml
        living = {culture.batch.id: culture for culture in self.state.cultures.values()}.get(source)
        return None if living is None else living.broth.volume_l * ML_PER_L


def as_measured(volume_ml: float, held_ml: float | None) -> float:
    """What was taken: all there was where the figure written down says so as nearly as it can be measured."""
    return held_ml if held_ml is not None and abs(volume_ml - held_ml) <= MEASURED_ML else volume_ml
