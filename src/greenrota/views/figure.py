"""Numbers for JSON and CSV: rounded below what can be measured, and never to zero."""

from __future__ import annotations

from typing import overload


@overload
def figure(value: float) -> float: ...
@overload
def figure(value: None) -> None: ...
@overload
def figure(value: float | None) -> float | None: ...


def figure(value: float | None) -> float | None:
    """A number rounded to three decimals, or to four digits if it is below one; None stays None. Source: our choice.

    >>> figure(3812.49999), figure(0.00654321), figure(None)
    (3812.5, 0.006543, None)
    """
    if value is None:
        return None
    return round(value, 3) if abs(value) >= 1.0 else float(f"{value:.4g}")
