"""`greenrota reckon secchi`: density from a Secchi depth or a turbidity reading, by the person's own pairs."""

from __future__ import annotations

from typing import Annotated

import typer

from greenrota.cli.options.options import AsJson
from greenrota.cli.options.quantities import in_range
from greenrota.cli.system import out
from greenrota.errors import Place, Problem, ProblemsFound


def secchi(
    reading: Annotated[
        str,
        typer.Argument(metavar="READING", help="Secchi depth or meter reading, in the unit of the pairs."),
    ],
    pairs: Annotated[
        list[str] | None,
        typer.Option(
            "--pair", metavar="READING=DENSITY", help="An own reading and the cells/mL counted then."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Density from a Secchi depth or turbidity, by your own pairs.

    Give --pair at least twice. Nothing is read off beyond the pairs."""
    from greenrota.views.reckon.secchi import secchi_answer

    found = [_pair(text) for text in pairs or []]
    value = _figure(reading, "READING", reading)
    with in_range("--pair"):
        answer = secchi_answer(value, found)
    out.answer(answer, as_json)


def _pair(text: str) -> tuple[float, float]:
    left, sign, right = text.partition("=")
    if not sign:
        raise _bad(text, "--pair")
    return _figure(left, "--pair", text), _figure(right.removesuffix("/mL"), "--pair", text)


def _figure(text: str, argument: str, whole: str) -> float:
    from greenrota.logbook.amount import read_figure

    value = read_figure(text.strip())
    if value is None:
        raise _bad(whole, argument)
    return value


def _bad(text: str, argument: str) -> ProblemsFound:
    what = f'"{text}" is not read' + (" as reading=density" if argument == "--pair" else " as a number")
    hint = "for example greenrota reckon secchi 14 --pair 10=9e5 --pair 20=4e5"
    return ProblemsFound([Problem("bad-number", Place(argument), what, hint)], status=2)
