"""Warnings of a rota as text: what to know before trusting it."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.caveat import Caveat
from greenrota.rota.rota import Rota
from greenrota.rota.wording import numbered
from greenrota.views.day import day_text
from greenrota.views.lettering import hanging, printable

_LEAD = "warning: "
# Codes that are shown every day: the strain may be lost, or the rota has ended.
_URGENT = frozenset({"strain-lost", "all-suspect", "one-home", "vessel-waits", "horizon-over", "vessel-gone"})


def urgent(rota: Rota) -> list[Caveat]:
    """The warnings that `today` and `log` show without being asked."""
    return [caveat for caveat in rota.caveats if caveat.code in _URGENT]


def warnings_text(caveats: Sequence[Caveat], width: int | None = None) -> str:
    """One warning below the other, its code in brackets; "" if there is none.

    Vessels of which the same is said stand together.

    `width` wraps to the screen; None leaves every warning on one line.

    >>> warnings_text([Caveat("starter-old", "starter:bought is 90 days old")])
    'warning: starter:bought is 90 days old [starter-old]'
    """
    together: dict[tuple[str, str], list[str]] = {}
    for caveat in caveats:
        text = caveat.text if caveat.vessel is None else caveat.text.removeprefix(f"{caveat.vessel}: ")
        names = together.setdefault((caveat.code, text), [])
        if text != caveat.text:
            names.append(str(caveat.vessel))
    lines: list[str] = []
    for (code, text), names in together.items():
        told = f"{', '.join(names) + ': ' if names else ''}{text} [{code}]"
        lines += hanging(_LEAD, printable(told), width)
    return "\n".join(lines)


def verdict(file: str, rota: Rota, width: int | None = None) -> str:
    """That the plan of a file is sound, what it covers, and its warnings; wrapped to `width` as above."""
    plan = rota.plan
    vessels = numbered(len(plan.vessels), "vessel")
    tasks = numbered(len(rota.tasks), "task")
    lines = [
        f"{printable(file)}: the plan is sound",
        f"{vessels}, {tasks} from {day_text(rota.as_of)} through {day_text(rota.through)}",
        warnings_text(rota.caveats, width) or "no warnings",
    ]
    return "\n".join(lines)
