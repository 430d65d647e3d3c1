"""Warnings of a rota as text: what to know before trusting it."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.rota import Rota
from greenrota.rota.warning import PlanWarning
from greenrota.rota.wording import numbered
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

_LEAD = "warning: "
# What must be known on the day itself: whether the strain lives on, and whether there is a rota at all.
_URGENT = frozenset(
    {
        "strain-lost",
        "all-suspect",
        "one-home",
        "vessel-waits",
        "vessel-gone",
        "bottle-withheld",
        "count-low",
    }
)


def urgent(rota: Rota) -> list[PlanWarning]:
    """The warnings that `today` and `log` show without being asked."""
    return [warning for warning in rota.warnings if warning.code in _URGENT]


def warnings_text(warnings: Sequence[PlanWarning], width: int | None = None) -> str:
    """One warning below the other, its code in brackets; "" if there is none.

    Vessels of which the same is said stand together.

    `width` wraps to the screen; None leaves every warning on one line.

    >>> warnings_text([PlanWarning("starter-old", "starter:bought is 90 days old")])
    'warning: starter:bought is 90 days old [starter-old]'
    """
    together: dict[tuple[str, str], list[str]] = {}
    for warning in warnings:
        text = warning.text if warning.vessel is None else warning.text.removeprefix(f"{warning.vessel}: ")
        names = together.setdefault((warning.code, text), [])
        if text != warning.text:
            names.append(str(warning.vessel))
    lines: list[str] = []
    for (code, text), names in together.items():
        line = f"{', '.join(names) + ': ' if names else ''}{text} [{code}]"
        lines += hanging(_LEAD, printable(line), width)
    return "\n".join(lines)


def verdict(file: str, rota: Rota, width: int | None = None) -> str:
    """That the plan of a file is sound, what it covers, and its warnings; wrapped to `width` as above."""
    plan = rota.plan
    vessels = numbered(len(plan.vessels), "vessel")
    tasks = numbered(len(rota.tasks), "task")
    lines = [
        f"{printable(file)}: the plan is sound",
        f"{vessels}, {tasks} from {day_text(rota.as_of)} through {day_text(rota.through)}",
        warnings_text(rota.warnings, width) or "no warnings",
    ]
    return "\n".join(lines)
