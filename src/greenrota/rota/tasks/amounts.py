"""Amounts: what a task pours or takes out, made from a simulated event."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import assert_never

from greenrota.culture.bench.dose import dose_ml
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.kinds import FILLING, TASK_KINDS, Amount, TaskKind
from greenrota.rota.simulate.events import Event
from greenrota.rota.state.bench import Bench

NO_NUTRIENT: Mapping[str, float] = FrozenDict()


@dataclass(frozen=True, slots=True)
class Amounts:
    """What a task pours or takes out; None where it does not apply. Volumes in mL, salt in g of dry mix."""

    inoculum_ml: float | None = None
    seawater_ml: float | None = None
    salt_g: float | None = None
    nutrient_ml: Mapping[str, float] = field(default_factory=lambda: NO_NUTRIENT, hash=False)
    harvest_ml: float | None = None
    keep_ml: float | None = None
    bank_ml: float | None = None

    def of(self, name: Amount) -> float | None:
        """One of the amounts; of the nutrients all parts together. None where it does not apply.

        >>> Amounts(nutrient_ml={"a": 0.5, "b": 0.5}).of("nutrient"), Amounts().of("harvest")
        (1.0, None)
        """
        match name:
            case "inoculum":
                return self.inoculum_ml
            case "seawater":
                return self.seawater_ml
            case "salt":
                return self.salt_g
            case "nutrient":
                return sum(self.nutrient_ml.values()) if self.nutrient_ml else None
            case "harvest":
                return self.harvest_ml
            case "keep":
                return self.keep_ml
            case "bank":
                return self.bank_ml
            case _:
                assert_never(name)


def amounts_of(bench: Bench, event: Event) -> Amounts:
    """The amounts of an event at a bench."""
    nutrient, keep_ml = bench.nutrient, _keep_ml(event)
    names = (nutrient.name,) if nutrient.other_part is None else (nutrient.name, nutrient.other_part)
    dosed_ml = dose_ml(event.label_doses_l, nutrient.dose_ml_per_l)
    salt_g = event.seawater_l * bench.salt_g_per_l
    return _of_kind(event.kind, event.volume_ml, event.seawater_l, salt_g, names, dosed_ml, keep_ml)


@lru_cache(maxsize=4096)
def _of_kind(
    kind: TaskKind,
    volume_ml: float,
    seawater_l: float,
    salt_g: float,
    nutrients: tuple[str, ...],
    dosed_ml: float,
    keep_ml: float,
) -> Amounts:
    """What a kind of task has of such amounts. A year of tasks knows few: equal ones are one record."""
    has = TASK_KINDS[kind].amounts
    return Amounts(
        inoculum_ml=volume_ml if "inoculum" in has else None,
        seawater_ml=seawater_l * ML_PER_L if "seawater" in has else None,
        salt_g=salt_g if "salt" in has else None,
        nutrient_ml=FrozenDict(dict.fromkeys(nutrients, dosed_ml)) if "nutrient" in has else NO_NUTRIENT,
        harvest_ml=volume_ml if "harvest" in has else None,
        keep_ml=keep_ml if "keep" in has else None,
        bank_ml=volume_ml if "bank" in has else None,
    )


def _keep_ml(event: Event) -> float:
    """What stays in the vessel of a harvest; a re-seed is made on what was kept."""
    if event.kind in FILLING:
        return event.volume_ml
    return 0.0 if event.after is None else event.after.volume_l * ML_PER_L
