"""What the hands do in a task: the amounts in the order in which they are poured, and the density it leads to."""

from __future__ import annotations

from collections.abc import Mapping

from greenrota.culture.dose import drops
from greenrota.rota.task import Amounts, Task
from greenrota.rota.wording import numbered
from greenrota.views import amount

JOINT = " + "
_MOST_DROPS = 60  # our choice: nobody counts more drops than that


def pour_text(task: Task, units: str = "metric") -> str:
    """The amounts of a task as one line; see `pour_parts`."""
    return JOINT.join(pour_parts(task, units))


def pour_parts(task: Task, units: str = "metric") -> list[str]:
    """What is poured or taken, part by part, no finer than the instrument; `units` is "metric" or "us".

    What is read off and what is poured onto it never add up to more than the vessel's fill.

    Salt stands where it is dissolved, in the prepare task. Drops are a hint behind the millilitres.
    """
    given = task.amounts
    if task.kind == "prepare":
        return [f"{_volume(given.seawater_ml, units)} seawater with {_mass(given.salt_g, units)} dry salt"]
    if task.kind == "harvest":
        keep_ml = given.keep_ml or 0.0
        taken = _rest(given.harvest_ml, keep_ml, units)
        return [f"take {taken}, keep {_volume(keep_ml, units)}"]
    if task.kind == "bank":
        return [f"{_volume(given.bank_ml, units)} into a fridge bottle"]
    if task.kind == "renew":
        return ["break the vessel down and clean it"]
    return [*_cultures(task, given, units), *nutrient_texts(given.nutrient_ml, units)]


def _cultures(task: Task, given: Amounts, units: str) -> list[str]:
    if task.kind == "feed":
        return []
    seed = _volume(given.inoculum_ml, units)
    first = f"{seed} kept back" if task.kind == "reseed" else f"{seed} from {task.parent}"
    return [first, f"{_rest(given.seawater_ml, given.inoculum_ml or 0.0, units)} seawater"]


def nutrient_texts(nutrient_ml: Mapping[str, float], units: str = "metric") -> list[str]:
    """Each bottle's millilitres with about how many drops that is.

    >>> nutrient_texts({"f2": 0.8})
    ['0.80 mL f2 (about 16 drops)']
    """
    return [f"{amount.volume(ml, units)} {name}{drops_hint(ml)}" for name, ml in nutrient_ml.items()]


def drops_hint(ml: float) -> str:
    """About how many drops a dose is, in brackets with a space before it; "" where nobody would count them.

    >>> drops_hint(0.8)
    ' (about 16 drops)'
    """
    count = drops(ml).count
    if not 0 < count <= _MOST_DROPS:
        return ""
    return f" (about {numbered(count, 'drop')})"


def _volume(volume_ml: float | None, units: str) -> str:
    return amount.volume(volume_ml or 0.0, units)


def _rest(volume_ml: float | None, beside_ml: float, units: str) -> str:
    """A volume beside another that is measured out: together no more than both really are."""
    whole_ml = (volume_ml or 0.0) + beside_ml
    return _volume(amount.rest_ml(whole_ml, amount.measured_ml(beside_ml)), units)


def _mass(mass_g: float | None, units: str) -> str:
    return amount.mass(mass_g or 0.0, units)


def density_text(task: Task) -> str:
    """Projected density in cells/mL, "before -> after"; one figure where the task does not change it."""
    before = "" if task.density_before_per_ml is None else amount.density(task.density_before_per_ml)
    after = "" if task.density_after_per_ml is None else amount.density(task.density_after_per_ml)
    if not after or before == after:
        return before
    return f"{before} -> {after}" if before else f"-> {after}"
