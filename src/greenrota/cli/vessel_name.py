"""The name of a vessel, as it is typed on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.rota.plan import Plan


def known_vessel(plan: Plan, typed: str, argument: str) -> str:
    """The vessel of the plan that is meant; ProblemsFound (status 2, "unknown-vessel") if there is none.

    `argument` names the option or argument in the problem.
    """
    from difflib import get_close_matches
    from unicodedata import normalize

    names = [vessel.name for vessel in plan.vessels]
    name = normalize("NFC", typed)
    if name in names:
        return name
    plain = {each.casefold(): each for each in names}
    near = get_close_matches(name.casefold(), plain, n=1)
    hint = f'did you mean "{plain[near[0]]}"?' if near else f"the plan has: {_some(names)}"
    problem = Problem("unknown-vessel", Place(argument), f'the plan has no vessel "{typed}"', hint)
    raise ProblemsFound([problem], status=2)


def _some(names: list[str], most: int = 12) -> str:
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown
