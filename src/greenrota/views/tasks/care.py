"""Cautions on pages: what always holds stands once, what belongs to a task stands beside it in words.

Every page that lists tasks uses the same two functions: `beside` for the words at a task, `always` for the block.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from greenrota.culture.bench.sanitation import CAUTIONS, Caution
from greenrota.rota.kinds import CLEANING, STRAIN_TOOLS, TASK_KINDS
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.text.lettering import hanging, printable

# Cautions that hold on every day, whatever is done: they stand once, in the block "always".
ALWAYS = ("mains", "air_line", "glass", "nutrient", "evaporation", STRAIN_TOOLS)
# Cautions of single tasks, each with the words that stand beside the task; the same words on every page.
WORDS: Mapping[str, str] = MappingProxyType(
    {
        "bleach": "bleach",
        "bleach_kind": "bleach",
        "bleach_rinse": "bleach",
        "chlorine_test": "bleach",
        "hot_water": "hot water",
        "food_fridge": "food fridge",
    }
)
IN_FULL = "in full: greenrota cautions"

# Each caution in a few words, for a page that cannot hold its whole text. The status is that of the whole text.
_IN_SHORT = {
    "evaporation": "cover salt water, top up fresh",
    "mains": "RCD or GFCI, drip loops, unplug before hands go in",
    "air_line": "air pump above the water, vent open",
    "glass": "lift full jars dry, from below",
    "nutrient": "concentrates away from food and children",
    STRAIN_TOOLS: "own tools for each strain",
    "bleach": "never with other cleaners (poison gas)",
    "bleach_kind": "plain only",
    "bleach_rinse": "rinse before acid, nutrient",
    "chlorine_test": "zero chlorine before culture",
    "hot_water": "scalds, cracks glass, never onto bleach",
    "food_fridge": "label NOT FOOD, away from children",
}


def words(tasks: Iterable[Task]) -> str:
    """What to take care of in these tasks beyond what always holds, in words: "bleach, hot water"; "" for nothing."""
    return words_of(_keys(tasks))


def words_of(keys: Iterable[str]) -> str:
    """The words of cautions, each once; "" where only "always" holds.

    >>> words_of(["bleach", "bleach_rinse", "mains", "hot_water"])
    'bleach, hot water'
    """
    return ", ".join(dict.fromkeys(WORDS[key] for key in keys if key in WORDS))


def beside(tasks: Iterable[Task]) -> str:
    """The words that stand beside one task or visit: "care: bleach, hot water"; "" where only "always" holds."""
    text = words(tasks)
    return f"care: {text}" if text else ""


def always(tasks: Iterable[Task]) -> tuple[Caution, ...]:
    """The cautions of the block "always" for these tasks, in one fixed order, each with its whole text and status."""
    carried = set(_keys(tasks))
    return tuple(CAUTIONS[key] for key in ALWAYS if key in carried)


def on_the_day(tasks: Iterable[Task]) -> tuple[Caution, ...]:
    """The cautions behind the words beside these tasks, in one fixed order, each with its whole text and status."""
    carried = set(_keys(tasks))
    return tuple(CAUTIONS[key] for key in WORDS if key in carried)


def whole(caution: Caution) -> str:
    """The whole text of a caution with its status behind it: published, copy, common practice, from memory, ..."""
    return f"{caution.text} [{caution.status}]"


def marked(text: str) -> str:
    """A text with its status behind it where it is that of a caution; any other text as it is."""
    return next((whole(each) for each in CAUTIONS.values() if each.text == text), text)


def always_block(tasks: Iterable[Task], width: int | None = None) -> str:
    """The block "always" with whole texts; "" if the tasks carry none. `width` wraps it; None: a line each."""
    return _block("Always", always(tasks), width)


def day_block(tasks: Iterable[Task], width: int | None = None) -> str:
    """The whole texts behind the words beside the tasks; "" if there is none. `width` as in `always_block`."""
    return _block("Take care", on_the_day(tasks), width)


def always_short(tasks: Sequence[Task], width: int | None = None) -> list[str]:
    """What always holds for these tasks in a few words, as lines, and the command that prints it in full."""
    held = always(tasks)
    if not held:
        return []
    text = "; ".join(_IN_SHORT[each.key] for each in held)
    return hanging("", f"Always: {text} ({IN_FULL}).", width, 2)


def in_short(tasks: Sequence[Task], width: int | None = None) -> list[str]:
    """All cautions of the tasks in a few words, as lines: each word of care with its meaning, then what always holds.

    The last line says which command prints them in full. Empty if the tasks carry none.
    """
    meant: dict[str, list[str]] = {}
    for each in on_the_day(tasks):
        meant.setdefault(WORDS[each.key], []).append(_IN_SHORT[each.key])
    text = ". ".join(f"{word}: {', '.join(parts)}" for word, parts in meant.items())
    lines = hanging("", f"Care - {text}.", width, 2) if text else []
    return [*lines, *always_short(tasks, width)]


def cautions_page(width: int | None = None) -> str:
    """Every caution there is: what always holds, then those of single tasks under their words; no newline at the end.

    `width` wraps to the screen; None leaves every caution on one line.
    """
    blocks = [_block("Always", [CAUTIONS[key] for key in ALWAYS], width)]
    for word in dict.fromkeys(WORDS.values()):
        of_word = [CAUTIONS[key] for key in WORDS if WORDS[key] == word]
        blocks.append(_block(f"care: {word}", of_word, width))
    blocks.append("\n".join(hanging("", _STATUS, width)))
    return "\n\n".join(blocks)


_STATUS = (
    "In brackets: how well a caution is known. published: seen in its source; common practice: what keepers do, "
    "nobody has measured it; from memory: known but not seen in print; our choice. Sources: docs/reference/cautions.md."
)


def cleaning(names: Iterable[str], width: int | None = None) -> str:
    """What to mind when a lost culture is emptied out and its vessel or bottle cleaned, every caution whole."""
    title = f"Take care when you empty and clean {printable(', '.join(names))}"
    return _block(title, [CAUTIONS[key] for key in CLEANING], width)


def _block(title: str, cautions: Sequence[Caution], width: int | None) -> str:
    if not cautions:
        return ""
    texts = [line for each in cautions for line in hanging("- ", whole(each), width)]
    return "\n".join([*hanging("", title, width, 2), *texts])


def _keys(tasks: Iterable[Task]) -> Iterable[str]:
    return [key for task in tasks for key in task.cautions]


def concerned(tasks: Sequence[Task], key: str) -> str:
    """Which kinds of task carry a caution, and how many tasks."""
    found = [task for task in tasks if key in task.cautions]
    kinds = [kind for kind in TASK_KINDS if any(task.kind == kind for task in found)]
    return f"{', '.join(kinds)}; {numbered(len(found), 'task')}"
