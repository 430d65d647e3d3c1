"""The amounts of a task in the order of pouring, and the densities before and after it, as text."""

from __future__ import annotations

from collections.abc import Mapping

from greenrota.culture.dose import drops
from greenrota.rota.tasks.measured import poured
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views import amount

JOINT = " + "
MOST_DROPS = 60  # our choice: nobody counts more drops than that


def pour_text(task: Task, units: str = "metric") -> str:
    """The amounts of a task as one line; see `pour_parts`."""
    return JOINT.join(pour_parts(task, units))


def pour_parts(task: Task, units: str = "metric") -> list[str]:
    """What is poured or taken, part by part, as the instruments show it; `units` is "metric" or "us".

    Salt stands where it is dissolved, in the prepare task. Drops are a hint behind the millilitres.
    """
    read = poured(task)
    if task.kind == "prepare":
        return [f"{_volume(read.seawater_ml, units)} seawater with {_mass(read.salt_g, units)} dry salt"]
    if task.kind == "harvest":
        return [f"take {_volume(read.harvest_ml, units)}, keep {_volume(read.keep_ml, units)}"]
    if task.kind == "bank":
        return [f"{_volume(read.bank_ml, units)} into a fridge bottle"]
    if task.kind == "renew":
        return ["break the vessel down and clean it"]
    nutrients = nutrient_texts(read.nutrient_ml, units)
    if task.kind == "feed":
        return nutrients
    origin = "kept back" if task.kind == "reseed" else f"from {task.parent}"
    return [
        f"{_volume(read.inoculum_ml, units)} {origin}",
        f"{_volume(read.seawater_ml, units)} seawater",
        *nutrients,
    ]


def nutrient_texts(
    nutrient_ml: Mapping[str, float], units: str = "metric", about: str = "about "
) -> list[str]:
    """Each bottle's millilitres with about how many drops that is; `about` is put before the number of drops.

    >>> nutrient_texts({"f2": 0.8})
    ['0.80 mL f2 (about 16 drops)']
    """
    return [f"{amount.volume(ml, units)} {name}{drops_hint(ml, about)}" for name, ml in nutrient_ml.items()]


def drops_hint(ml: float, about: str = "about ") -> str:
    """About how many drops a dose is, in brackets with a space before it; "" where nobody would count them.

    >>> drops_hint(0.8)
    ' (about 16 drops)'
    """
    count = drops(ml).count
    if not 0 < count <= MOST_DROPS:
        return ""
    return f" ({about}{numbered(count, 'drop')})"


def _volume(volume_ml: float | None, units: str) -> str:
    return amount.volume(volume_ml or 0.0, units)


def _mass(mass_g: float | None, units: str) -> str:
    return amount.mass(mass_g or 0.0, units)


def density_text(task: Task) -> str:
    """Projected density in million cells/mL, "before -> after"; one figure where the task does not change it."""
    before = "" if task.density_before_per_ml is None else amount.millions(task.density_before_per_ml)
    after = "" if task.density_after_per_ml is None else amount.millions(task.density_after_per_ml)
    if not after or before == after:
        return before
    return f"{before} -> {after}" if before else f"-> {after}"
