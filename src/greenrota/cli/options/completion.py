"""What a shell can complete besides commands and options: names in the plan, kinds, causes, media, strains.

Completion must be quick and silent: the plan is read as plain TOML, unchecked, and a plan that can not be read has no
names. Names with a space are left out, for shells do not agree on how to quote them.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import typer

from greenrota.cli.system.plan_path import find_plan
from greenrota.errors import ProblemsFound


def vessels(ctx: typer.Context, incomplete: str) -> list[str]:
    """Vessels of the plan that is named on the line so far, else of the plan found."""
    return _beginning(incomplete, _names(ctx, "vessel"))


def nutrients(ctx: typer.Context, incomplete: str) -> list[str]:
    """Nutrient bottles of the plan."""
    return _beginning(incomplete, _names(ctx, "nutrient"))


def sources(ctx: typer.Context, incomplete: str) -> list[str]:
    """What a vessel can be started from, as far as the plan knows: starters and vessels."""
    starters = [f"starter:{name}" for name in _names(ctx, "starter")]
    return _beginning(incomplete, [*starters, *_names(ctx, "vessel")])


def kinds(incomplete: str) -> list[str]:
    """Kinds of logbook entries, and the words that stand in their place: done, list, undo, archive."""
    from greenrota.logbook.vocabulary import KINDS

    return _beginning(incomplete, [*KINDS, "done", "list", "undo", "archive"])


def entry_kinds(incomplete: str) -> list[str]:
    """Kinds of logbook entries."""
    from greenrota.logbook.vocabulary import KINDS

    return _beginning(incomplete, KINDS)


def causes(incomplete: str) -> list[str]:
    """Causes of a crash."""
    from greenrota.logbook.vocabulary import CAUSES

    return _beginning(incomplete, CAUSES)


def media(incomplete: str) -> list[str]:
    """Media that ship."""
    from greenrota.culture.data.medium import media as known

    return _beginning(incomplete, known())


def strains(incomplete: str) -> list[str]:
    """Strains that ship."""
    from greenrota.culture.data.strain import strains as known

    return _beginning(incomplete, known())


def _beginning(incomplete: str, words: Iterable[str]) -> list[str]:
    return [word for word in words if word.startswith(incomplete) and " " not in word]


def _names(ctx: typer.Context, table: str) -> list[str]:
    import tomllib

    try:
        path = find_plan(_given(ctx), Path.cwd())
        plan: Any = tomllib.loads(path.read_text(encoding="utf-8"))
    except (ProblemsFound, OSError, ValueError):
        return []
    rows = plan.get(table)
    named = [row.get("name") for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []
    return [name for name in named if isinstance(name, str)]


def _given(ctx: typer.Context) -> Path | None:
    """The plan on the line; behind an option that still lacks its value it is among the words not yet read."""
    loose = [*ctx.args, *(ctx.params.get("names") or [])]
    plans = [ctx.params.get("plan"), *(word for word in loose if word.lower().endswith(".toml"))]
    return next((Path(plan) for plan in plans if plan), None)
