"""Inoculum: how much living culture starts a vessel, how a starter is split, and what a fridge does to it.

Densities in cells per mL, volumes in the unit of the name. Mixing conserves cells and volume.
"""

from typing import NamedTuple

MIN_START_SHARE = 0.065  # thinnest start, share of the ceiling; our choice, above a slow start's 3-5 %
FRESH_DAYS = 3.0  # a bottle no older than this counts as an active culture, our choice
FRIDGE_LAG_END_DAYS = 4.0  # lag after a bottle at the end of its fridge days, our choice
FRIDGE_ALIVE_END_SHARE = 0.5  # share alive at the end of the fridge days, our choice


class Split(NamedTuple):
    """A starter split: every vessel gets `per_vessel_ml`, `held_ml` stays in the fridge."""

    per_vessel_ml: float
    held_ml: float
    vessels: int


def inoculum_l_for_share(fill_l: float, share: float) -> float:
    """Litres of inoculum that make up a share of the working volume.

    ValueError unless fill > 0 and 0 < share <= 1. Source: proportion, derived by hand.

    >>> inoculum_l_for_share(4.0, 0.20)
    0.8
    """
    _check_fill(fill_l)
    if not 0.0 < share <= 1.0:
        raise ValueError(f"inoculum share {share:g} is not between 0 and 1")
    return fill_l * share


def inoculum_l_for_density(fill_l: float, goal_per_ml: float, source_per_ml: float) -> float:
    """Litres of a source that start a vessel at a wanted density.

    Holds for fill > 0 and 0 < goal < source; otherwise ValueError: the vessel could not hold what is needed
    from a source no denser than the goal. Source: dilution law C1 V1 = C2 V2.

    >>> round(inoculum_l_for_density(4.0, 1e5, 1.5e6) * 1000, 2)
    266.67
    """
    _check_fill(fill_l)
    if not goal_per_ml > 0.0:
        raise ValueError(f"goal {goal_per_ml:g} cells/mL must be above zero")
    if not goal_per_ml < source_per_ml:
        raise ValueError(
            f"goal {goal_per_ml:g} cells/mL is not below the source's {source_per_ml:g}: "
            "more than the vessel holds"
        )
    return fill_l * goal_per_ml / source_per_ml


def start_density(fill_l: float, inoculum_l: float, source_per_ml: float) -> float:
    """Density in cells/mL right after the inoculum is made up to the working volume.

    ValueError unless fill > 0, 0 <= inoculum <= fill and source >= 0. Source: dilution law C1 V1 = C2 V2.

    >>> start_density(4.0, 0.1875, 2e6)
    93750.0
    """
    _check_fill(fill_l)
    if not 0.0 <= inoculum_l <= fill_l:
        raise ValueError(f"inoculum {inoculum_l:g} L does not fit a fill of {fill_l:g} L")
    if not source_per_ml >= 0.0:
        raise ValueError(f"source {source_per_ml:g} cells/mL cannot be below zero")
    return inoculum_l / fill_l * source_per_ml


def split_starter(volume_ml: float, keep_back_share: float, vessels: int) -> Split:
    """Equal split of a starter over vessels, after a share is held back as insurance.

    ValueError unless volume > 0, 0 <= share < 1 and at least one vessel.
    Source: volume balance, derived by hand.

    >>> split_starter(500.0, 0.25, 2).per_vessel_ml
    187.5
    """
    _check_starter(volume_ml, keep_back_share)
    if vessels < 1:
        raise ValueError(f"a starter is split over one vessel or more, not {vessels}")
    held_ml = volume_ml * keep_back_share
    return Split(per_vessel_ml=(volume_ml - held_ml) / vessels, held_ml=held_ml, vessels=vessels)


def how_many_vessels(
    volume_ml: float,
    density_per_ml: float,
    keep_back_share: float,
    fill_l: float,
    ceiling_per_ml: float,
    min_start_share: float = MIN_START_SHARE,
) -> int:
    """How many vessels a starter can seed at a start density of at least `min_start_share` of their ceiling.

    Never more than the starter can fill. 0 if it is too thin for one. ValueError as in `split_starter`, or if
    density, ceiling or start share are not above zero. Source: cell balance, derived by hand.

    >>> how_many_vessels(500.0, 2e6, 0.25, 3.8, 1.1e6)
    2
    """
    _check_starter(volume_ml, keep_back_share)
    _check_fill(fill_l)
    if min(density_per_ml, ceiling_per_ml, min_start_share) <= 0.0:
        raise ValueError("density, ceiling and least start share must be above zero")
    goal_per_ml = min_start_share * ceiling_per_ml
    if goal_per_ml > density_per_ml:
        return 0
    each_ml = fill_l * 1000.0 * goal_per_ml / density_per_ml
    return int(volume_ml * (1.0 - keep_back_share) / each_ml + 1e-9)  # 1e-9: an exact fit survives rounding


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


def _check_fill(fill_l: float) -> None:
    if not fill_l > 0.0:
        raise ValueError(f"fill {fill_l:g} L must be above zero")


def _check_starter(volume_ml: float, keep_back_share: float) -> None:
    if not volume_ml > 0.0:
        raise ValueError(f"starter {volume_ml:g} mL must be above zero")
    if not 0.0 <= keep_back_share < 1.0:
        raise ValueError(f"share held back {keep_back_share:g} is not between 0 and 1")
