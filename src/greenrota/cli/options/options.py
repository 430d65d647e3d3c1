"""Options and arguments that several commands share, with their one spelling and one help text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from greenrota.cli.options import completion
from greenrota.errors import Place, Problem, ProblemsFound

# Texts, for they are seldom wanted: `re` compiles each when it is first used.
_NUMBER = r"[0-9]{1,12}(?:\.[0-9]{1,12})?"
_CLOCK = r"([0-9]{1,2}):([0-5][0-9])"
_MOST_DAYS = 4000  # our choice: ten times the longest horizon
_LARGEST = 1e9  # our choice: keeps every reckoning far from overflow
_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def iso_day(text: str, option: str) -> date:
    """A calendar day written as 2027-02-01 and in no other way.

    Raises ProblemsFound with status 2 and code "bad-date"; `option` names the option in it.

    >>> iso_day("2027-02-01", "--on")
    datetime.date(2027, 2, 1)
    """
    from greenrota.planfile.fields.days import FIRST_YEAR, LAST_YEAR, wrong_day

    try:
        day = date.fromisoformat(text) if _ISO_DAY.fullmatch(text) else None
    except ValueError:
        day = None
    if day is not None and FIRST_YEAR <= day.year <= LAST_YEAR:
        return day
    what, hint = wrong_day(text)
    if day is not None:
        what, hint = f"{text} is outside {FIRST_YEAR} to {LAST_YEAR}", "look at the year"
    problem = Problem("bad-date", Place(option), what, hint)
    raise ProblemsFound([problem], status=2)


def one_form(wanted: Mapping[str, bool]) -> None:
    """Refuse options that exclude each other; `wanted` by the name of the option.

    Raises ProblemsFound with status 2 and code "one-form".
    """
    given = [name for name, is_given in wanted.items() if is_given]
    if len(given) > 1:
        what = f"{', '.join(given[:-1])} and {given[-1]} can not be used together"
        hint = "leave one of them out" if len(given) == 2 else "leave all but one out"
        raise ProblemsFound([Problem("one-form", Place(given[0]), what, hint)], status=2)


def number_option(name: str, metavar: str, help_text: str) -> Any:
    """An option that takes a plain number, finite and not below zero; ProblemsFound (status 2) otherwise."""

    def plain(given: str | float) -> float:
        text = str(given)  # a default comes as the number it is
        if re.fullmatch(_NUMBER, text) and float(text) <= _LARGEST:
            return float(text)
        what = f'"{text}" is not a plain number of 0 to {_LARGEST:g}'
        hint = "write it with a decimal point and without a unit, for example 0.25"
        percent, clock = text.removesuffix("%").rstrip(), re.fullmatch(_CLOCK, text)
        if text.endswith("%") and re.fullmatch(_NUMBER, percent):
            hint = f"write {f'{float(percent) / 100.0:g}' if metavar == 'SHARE' else percent}"
        elif clock and metavar == "HOUR":
            hint = f"write {int(clock[1]) + int(clock[2]) / 60.0:g}: hours after midnight"
        raise ProblemsFound([Problem("bad-number", Place(name), what, hint)], status=2)

    return typer.Option(name, parser=plain, metavar=metavar, help=help_text)


def _on(text: str) -> date:
    return iso_day(text, "--on")


def _from(text: str) -> date:
    return iso_day(text, "--from")


PlanFile = Annotated[
    Path | None,
    typer.Argument(
        metavar="PLAN",
        help="Plan file; default: plan.toml here or in the nearest parent folder.",
        show_default=False,
    ),
]
VesselNamed = Annotated[
    str,
    typer.Argument(
        metavar="VESSEL",
        help="The vessel, by its name in the plan.",
        autocompletion=completion.vessels,
    ),
]
OnDay = Annotated[
    date | None,
    typer.Option(
        "--on",
        parser=_on,
        metavar="DATE",
        help="The day it is taken to be; default: today.",
        show_default=False,
    ),
]
FromDay = Annotated[
    date | None,
    typer.Option("--from", parser=_from, metavar="DATE", help="First day that is shown.", show_default=False),
]
Days = Annotated[
    int | None,
    typer.Option(
        "--days",
        min=1,
        max=_MOST_DAYS,
        metavar="N",
        help="How many days are shown; default: all.",
        show_default=False,
    ),
]
ComingMonth = Annotated[
    bool,
    typer.Option(
        "--next",
        help="Show the coming calendar month, also where the horizon ends before; dates that stand stay.",
        show_default=False,
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]


class UnitsShown(StrEnum):
    """Which units stand in text for people: metric, or US customary beside metric."""

    metric = "metric"
    us = "us"


Units = Annotated[
    UnitsShown, typer.Option("--units", help="US customary units beside metric ones, or metric only.")
]
