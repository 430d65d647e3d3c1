"""What is done in a task with its amounts, in few words or part by part, and the densities around it, as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import assert_never

from greenrota.culture.bench.dose import drops
from greenrota.rota.kinds import TASK_KINDS, Amount
from greenrota.rota.tasks.measured import is_kept_first, poured
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.text import amount

JOINT = " + "
SUSPECT = "suspect: give none of it, pour it away unless it is cleared"
KEPT_FIRST = ", measured out first"
MOST_DROPS = 60  # our choice: nobody counts more drops than that


def pour_text(task: Task, units: str = "metric") -> str:
    """The amounts of a task as one line; see `pour_parts`."""
    return JOINT.join(pour_parts(task, units))


def pour_parts(task: Task, units: str = "metric") -> list[str]:
    """What is poured or taken, part by part, as the instruments show it; `units` is "metric" or "us".

    Salt stands where it is dissolved, in the prepare task. Drops are a hint behind the millilitres.
    """
    if task.kind == "prepare":
        read = poured(task)
        return [f"{_volume(read.seawater_ml, units)} seawater with {_mass(read.salt_g, units)} dry salt"]
    return [part for name in TASK_KINDS[task.kind].amounts for part in _part(task, name, units)] or [
        TASK_KINDS[task.kind].work
    ]


def _part(task: Task, name: Amount, units: str) -> list[str]:
    """What is said of one of the amounts of a task."""
    read = poured(task)
    match name:
        case "inoculum":
            origin = "kept back" if "keep" in TASK_KINDS[task.kind].amounts else f"from {task.parent}"
            return [f"{_volume(read.inoculum_ml, units)} {origin}"]
        case "seawater":
            return [f"{_volume(read.seawater_ml, units)} seawater"]
        case "nutrient":
            return nutrient_texts(read.nutrient_ml, units)
        case "harvest":
            taken = f"take {_volume(read.harvest_ml, units)}, keep {_volume(read.keep_ml, units)}"
            return [_beside(task, taken)]
        case "bank":
            return [f"{_volume(read.bank_ml, units)} into a fridge bottle"]
        case "salt" | "keep":  # said where salt is dissolved, and with the harvest
            return []
        case _:
            assert_never(name)


def _beside(task: Task, taken: str) -> str:
    """What is taken at a harvest, with what is to be known of it."""
    taken += KEPT_FIRST if is_kept_first(poured(task)) else ""
    return f"{taken}; {SUSPECT}" if task.withheld else taken


def done(task: Task, units: str = "metric") -> str:
    """What is done in a task, its amounts as the instruments show them: "harvest 2.40 L, 1.60 L stays"."""
    text = _done(task, units)
    return text if task.light_h is None else f"{text}; light {task.light_h:g} h a day"


def _done(task: Task, units: str) -> str:
    read, record = poured(task), TASK_KINDS[task.kind]
    if task.kind == "prepare":
        return f"mix {_volume(read.seawater_ml, units)} salt water, {_mass(read.salt_g, units)} salt"
    if "harvest" in record.amounts:
        stays = f"{_volume(read.keep_ml, units)} stays" if read.keep_ml else "nothing stays"
        taken = _volume(read.harvest_ml, units) if read.harvest_ml else "nothing more"
        return _beside(task, f"{record.verb} {taken}, {stays}")
    if "bank" in record.amounts:
        return f"{record.verb} {_volume(read.bank_ml, units)} in a fridge bottle"
    parts = []
    kept_back = "keep" in record.amounts  # it stands there already
    if "inoculum" in record.amounts and not kept_back:
        parts.append(f"{_volume(read.inoculum_ml, units)} {source(task.parent)}")
    if "seawater" in record.amounts:
        parts.append(f"{_volume(read.seawater_ml, units)} salt water")
    parts += nutrient_texts(read.nutrient_ml, units, about="~")
    return f"{record.verb}: {JOINT.join(parts) or record.work}"


def source(parent: str) -> str:
    """Where an inoculum comes from, in words.

    >>> source("starter:bought"), source("fridge:north/2"), source("south/1")
    ('of bought', 'of back-up north/2', 'of south/1')
    """
    kind, _, name = parent.rpartition(":")
    return f"of back-up {name}" if kind == "fridge" else f"of {name}"


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
    count = drops(ml).number
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
