"""Reading arguments with a unit as numbers. A wrong one is an error of the command line (status 2)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.culture.bounds.bounds import Bounds, Doubt
    from greenrota.culture.water.seawater import Hydrometer


def read_quantity(text: str, kind: str, argument: str) -> float:
    """The number an argument stands for, in the base unit of `kind`; ProblemsFound (status 2) otherwise."""
    return read_measured(text, (kind,), argument)[0]


def read_measured(text: str, kinds: Sequence[str], argument: str) -> tuple[float, str]:
    """As `read_quantity` for an argument that takes several kinds: the number, and the kind it is."""
    from greenrota.planfile.text.units import measured

    with _refused(argument):
        return measured(text, kinds)


def read_reference(text: str, argument: str) -> Hydrometer:
    """What a hydrometer compares, from "25C/25C"; ProblemsFound (status 2) otherwise."""
    from greenrota.planfile.text.hydrometer import read_hydrometer

    with _refused(argument):
        return read_hydrometer(text)


def read_salinity(text: str, hydrometer: str, argument: str) -> float:
    """A salinity in psu, from a salinity or from a specific gravity by the hydrometer's reference."""
    from greenrota.culture.water.seawater import salinity_from_gravity

    value, kind = read_measured(text, ("salinity", "gravity"), argument)
    if kind == "salinity":
        return value
    reference = read_reference(hydrometer, "--hydrometer")
    with in_range(argument):
        return salinity_from_gravity(value, reference)


def doubts_about(*figures: tuple[str, float, Bounds]) -> tuple[Doubt, ...]:
    """What is unusual about figures of the command line, each with the argument it stands in and its bounds.

    Raises ProblemsFound (status 2) with code "out-of-range" for every figure that is impossible.
    """
    from greenrota.culture.bounds.bounds import Verdict, doubt, usual_span

    found = [(argument, doubt(value, bounds), bounds) for argument, value, bounds in figures]
    problems = [
        Problem(
            "out-of-range",
            Place(argument),
            each.text,
            f"look at the number and at its unit; usual is {usual_span(bounds)}",
        )
        for argument, each, bounds in found
        if each is not None and each.verdict is Verdict.IMPOSSIBLE
    ]
    if problems:
        raise ProblemsFound(problems, status=2)
    return tuple(each for _, each, _ in found if each is not None)


@contextmanager
def in_range(argument: str) -> Iterator[None]:
    """Turn the ValueError of a formula that does not hold for the figures into a problem ("out-of-range")."""
    try:
        yield
    except ValueError as error:
        hint = "give a figure inside the range in which the formula holds"
        raise ProblemsFound([Problem("out-of-range", Place(argument), str(error), hint)], status=2) from None


@contextmanager
def _refused(argument: str) -> Iterator[None]:
    from greenrota.planfile.text.units import QuantityError

    try:
        yield
    except QuantityError as error:
        raise ProblemsFound(
            [Problem(error.code, Place(argument), error.what, error.hint)], status=2
        ) from None
