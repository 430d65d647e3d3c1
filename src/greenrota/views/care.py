"""Cautions of a list of tasks: a letter at each task, and every text once, whole, below the list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from string import ascii_lowercase

from greenrota.culture.sanitation import CAUTIONS
from greenrota.rota.tasks.task import CLEANING, KINDS, Task
from greenrota.rota.wording import numbered
from greenrota.views.lettering import hanging, printable


def letters(tasks: Iterable[Task]) -> dict[str, str]:
    """A letter for every caution the tasks carry, by caution key, in order of first appearance."""
    keys = dict.fromkeys(key for task in tasks for key in task.cautions)
    return dict(zip(keys, ascii_lowercase, strict=False))  # there are fewer cautions than letters


def marked(task: Task, known: Mapping[str, str]) -> str:
    """The letters of one task's cautions, in alphabetical order."""
    return "".join(sorted(known[key] for key in task.cautions))


def take_care(tasks: Sequence[Task], width: int | None = None) -> str:
    """The block below a list: each caution's letter, whole text, and the tasks it concerns; "" if there is none.

    `width` wraps to the screen; None leaves every caution on one line.
    """
    known = letters(tasks)
    if not known:
        return ""
    lines = hanging("", "Take care (the letters stand beside the tasks)", width)
    for key, letter in known.items():
        text = f"{CAUTIONS[key].text} [{concerned(tasks, key)}]"
        lines += hanging(f"{letter}  ", text, width)
    return "\n".join(lines)


def concerned(tasks: Sequence[Task], key: str) -> str:
    """Which kinds of task carry a caution, and how many tasks."""
    found = [task for task in tasks if key in task.cautions]
    kinds = [kind for kind in KINDS if any(task.kind == kind for task in found)]
    return f"{', '.join(kinds)}; {numbered(len(found), 'task')}"


def cleaning(names: Iterable[str], width: int | None = None) -> str:
    """What to mind when a lost culture is emptied out and its vessel or bottle cleaned, every caution whole."""
    lines = hanging("", f"Take care when you empty and clean {printable(', '.join(names))}", width, 2)
    return "\n".join(
        [*lines, *(line for key in CLEANING for line in hanging("- ", CAUTIONS[key].text, width))]
    )


# Each caution in a few words, for a screen that can not hold its whole text; the same statuses as there.
_IN_SHORT = {
    "bleach": "bleach never with another cleaner: poisonous gas",
    "bleach_kind": "plain bleach only, away from children",
    "bleach_rinse": "rinse bleach out before acid or nutrient",
    "chlorine_test": "no culture in before chlorine reads zero",
    "mains": "RCD/GFCI and drip loops, unplug before hands go in",
    "glass": "lift full jars dry, from below",
    "hot_water": "hot water scalds, cracks cold glass, never onto bleach",
    "air_line": "air pump above the water, vent open, no tube pinched",
    "food_fridge": "label NOT FOOD, out of children's reach",
    "nutrient": "concentrates away from food and children",
    "strain_tools": "own tools for each strain",
}


def in_short(tasks: Sequence[Task], width: int) -> list[str]:
    """The cautions in a few words each, as lines, and where their whole texts stand; empty if there is none."""
    known = letters(tasks)
    if not known:
        return []
    parts = "; ".join(f"{letter} {_IN_SHORT[key]}" for key, letter in known.items())
    return hanging("", f"Take care (in full: greenrota tasks): {parts}", width, 2)
