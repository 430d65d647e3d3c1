"""Inoculum: how thin a start may be, and what a fridge does to a bottle of living culture."""

from __future__ import annotations

MIN_START_SHARE = 0.065  # thinnest start, share of the ceiling; our choice, above a slow start's 3-5 %
FRESH_DAYS = 3.0  # a bottle no older than this counts as an active culture, our choice
FRIDGE_LAG_END_DAYS = 4.0  # lag after a bottle at the end of its fridge days, our choice
FRIDGE_ALIVE_END_SHARE = 0.5  # share alive at the end of the fridge days, our choice


def lag_days(age_days: float, fridge_days: float) -> float:
    """Days before a bottle's culture grows: none up to `FRESH_DAYS`, then more with age, 4 at `fridge_days`.

    `age_days` since the bottle went into the fridge; past `fridge_days` the lag stays at its longest. An inoculum
    from a growing vessel has none. ValueError unless age >= 0 and fridge_days > 0.
    Source: an exponential inoculum shows no lag, and lag grows with the time spent stationary (ANACC, growth
    phases after Fogg & Thake 1987); the straight line to 4 days is our choice.

    >>> lag_days(29.5, 56.0)
    2.0
    """
    return FRIDGE_LAG_END_DAYS * min(1.0, _stale_share(age_days, fridge_days))


def fridge_share_alive(age_days: float, fridge_days: float) -> float:
    """Share of the cells alive in a fridge bottle: 1 while fresh, a half at `fridge_days`, then none in the end.

    ValueError unless age >= 0 and fridge_days > 0. Source: our choice, a straight line; published losses go
    from 3 % of cells in 16 weeks (N. oculata, Low & Toledo 2015) to 94 % of activity in 150 days (T. suecica,
    Montaini et al. 1995).

    >>> fridge_share_alive(29.5, 56.0)
    0.75
    """
    return max(0.0, 1.0 - (1.0 - FRIDGE_ALIVE_END_SHARE) * _stale_share(age_days, fridge_days))


def too_old(age_days: float, fridge_days: float) -> bool:
    """True for a fridge bottle past its days: start from another if there is one. ValueError as `lag_days`.

    >>> too_old(57.0, 56.0)
    True
    """
    _check_age(age_days, fridge_days)
    return age_days > fridge_days


def _stale_share(age_days: float, fridge_days: float) -> float:
    """How far a bottle is on the way from fresh (0) to the end of its fridge days (1, and on)."""
    _check_age(age_days, fridge_days)
    if age_days <= FRESH_DAYS:
        return 0.0
    return (age_days - FRESH_DAYS) / max(fridge_days - FRESH_DAYS, 1.0)


def _check_age(age_days: float, fridge_days: float) -> None:
    if not age_days >= 0.0:
        raise ValueError(f"age {age_days:g} days cannot be below zero")
    if not fridge_days > 0.0:
        raise ValueError(f"fridge days {fridge_days:g} must be above zero")
