"""Bounds of a quantity: what is usual, what is possible, and how a value is judged by them."""

from enum import Enum
from typing import NamedTuple


class Verdict(Enum):
    """How a value stands to its bounds."""

    USUAL = "usual"
    UNUSUAL = "unusual"
    IMPOSSIBLE = "impossible"


class Bounds(NamedTuple):
    """The usual and the possible values of one quantity; all ends are included and stand in `unit`.

    `code` is that of the warning for an unusual value, `what` the name of the quantity in a sentence.
    `typical` is a value to compare with, and `of` says what it is ("the usual dose of f/2"); None: only the ends
    are known.
    `reason` says why nothing lies beyond the possible, where that is known.
    """

    code: str
    what: str
    unit: str
    least: float
    usual_low: float
    usual_high: float
    most: float
    typical: float | None = None
    of: str = ""
    reason: str = ""

    def times(self, factor: float, unit: str) -> "Bounds":
        """The same bounds multiplied, in another unit: label doses become mL, a share of the brim litres.

        >>> Bounds("unusual-fill", "fill", "", 0.0, 0.25, 1.0, 1.0).times(4.0, "L").usual_low
        1.0
        """
        typical = None if self.typical is None else factor * self.typical
        return self._replace(
            unit=unit,
            least=factor * self.least,
            usual_low=factor * self.usual_low,
            usual_high=factor * self.usual_high,
            most=factor * self.most,
            typical=typical,
        )


class Doubt(NamedTuple):
    """A value that is not usual: the code of its warning, a sentence with value and range, and the verdict.

    `key` is the key of the logbook entry that holds the value, "" elsewhere.
    """

    code: str
    text: str
    verdict: Verdict
    key: str = ""


def judge(value: float, bounds: Bounds) -> Verdict:
    """Whether a value is usual, unusual or impossible. Not a number is impossible.

    >>> judge(3.0, Bounds("unusual-tank", "tank", "L", 0.1, 10.0, 2000.0, 1e6)).value
    'unusual'
    """
    if not bounds.least <= value <= bounds.most:
        return Verdict.IMPOSSIBLE
    return Verdict.USUAL if bounds.usual_low <= value <= bounds.usual_high else Verdict.UNUSUAL


def doubt(value: float, bounds: Bounds) -> Doubt | None:
    """What is to be said of a value; None if it is usual.

    >>> doubt(3.0, Bounds("unusual-tank", "tank", "L", 0.1, 10.0, 2000.0, 1e6)).text
    'tank of 3 L is outside the usual 10 to 2000 L: slip?'
    """
    verdict = judge(value, bounds)
    if verdict is Verdict.USUAL:
        return None
    said = impossible_text(value, bounds) if verdict is Verdict.IMPOSSIBLE else _unusual_text(value, bounds)
    return Doubt(bounds.code, said, verdict)


def impossible_text(value: float, bounds: Bounds) -> str:
    """That a value can not be, with the possible values and the reason.

    >>> impossible_text(50.0, Bounds("unusual-feed", "feed", "doses", 0.01, 0.1, 2.0, 10.0))
    'feed of 50 doses is not possible, 0.01 to 10 doses are'
    """
    interval = f"{shown(bounds.least)} to {measured(bounds.most, bounds.unit)} are"
    because = f": {bounds.reason}" if bounds.reason else ""
    return f"{bounds.what} of {measured(value, bounds.unit)} is not possible, {interval}{because}"


def _unusual_text(value: float, bounds: Bounds) -> str:
    given = f"{bounds.what} of {measured(value, bounds.unit)}"
    interval = usual_span(bounds)
    if bounds.typical is None or value <= 0.0:
        return f"{given} is outside the usual {interval}: slip?"
    times = value / bounds.typical
    share = f"{_rounded(times)} times" if times >= 1.0 else f"1/{_rounded(1.0 / times)} of"
    return (
        f"{given} is {share} {bounds.of}, {measured(bounds.typical, bounds.unit)}; usual is {interval}: slip?"
    )


def _rounded(times: float) -> str:
    return shown(float(f"{times:.2g}"))


def usual_span(bounds: Bounds) -> str:
    """The usual range as text.

    >>> usual_span(Bounds("unusual-tank", "tank", "L", 0.1, 10.0, 2000.0, 1e6))
    '10 to 2000 L'
    """
    return f"{shown(bounds.usual_low)} to {measured(bounds.usual_high, bounds.unit)}"


def measured(value: float, unit: str) -> str:
    """A value with its unit, less than 0.1 L in mL; a bare number where there is no unit.

    >>> measured(2.2e6, "cells/mL"), measured(0.04, "L"), measured(0.25, "")
    ('2.2e6 cells/mL', '40 mL', '0.25')
    """
    if unit == "L" and 0.0 < value < 0.1:
        return f"{shown(1000.0 * value)} mL"
    return f"{shown(value)} {unit}".rstrip()


def shown(value: float) -> str:
    """A number in three or four digits, as it is spelled at the bench: plain up to 9999, else with a power of ten.

    >>> shown(0.2), shown(2000.0), shown(4.267e9), shown(0.00004)
    ('0.2', '2000', '4.27e9', '4e-5')
    """
    if 1.0 <= abs(value) < 1e4:
        return f"{value:.4g}"
    mantissa, sign, power = f"{value:.3g}".partition("e")
    return f"{mantissa}e{int(power)}" if sign else mantissa
