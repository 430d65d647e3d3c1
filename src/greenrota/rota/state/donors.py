"""Donors: the one rule for who seeds an emptied vessel, in the simulation of a plan and in the seasons of `risk`.

The functions below work on single figures and on whole arrays. A culture is described by z = ceiling / density - 1:
the smaller, the riper.
"""

from enum import Enum
from typing import Any, NamedTuple

from greenrota.rota.state.cycle import RIPE_SHARE

DONOR_SHARE = 0.5  # of its ceiling that an unripe vessel must have reached before it gives; our choice
SETTLED_DAYS = 2  # a fresh filling is left alone so long before it may give unripe; our choice
WAIT_DAYS = (
    2  # so long an emptied vessel waits for one that is ripening before a bottle is opened; our choice
)
THIN_START = 0.5  # of the least inoculum is still better than no restart; our choice
ROUNDING = 1e-9  # of z: a culture that is ripe at midnight is ripe that day

RIPE_Z = (1.0 / RIPE_SHARE - 1.0) * (1.0 + ROUNDING)
DONOR_Z = (1.0 / DONOR_SHARE - 1.0) * (1.0 + ROUNDING)
_MORE_DAYS = 2**14  # than any batch is old


class Source(Enum):
    """Where the inoculum of a restart comes from."""

    HARVEST = "what is harvested that day"
    RIPE = "a ripe vessel that is not harvested that day"
    RIPENING = "nothing that day: a vessel is ripe within `WAIT_DAYS`, and the empty one waits for it"
    STARTER = "the held-back part of a starter"
    BACKUP = "a fridge back-up"
    UNRIPE = "an unripe vessel"


class Turn(NamedTuple):
    """A source, and the part of the least inoculum that it must give.

    `after_loss` False: only for a vessel that was broken down on plan, not for one that was lost.
    """

    source: Source
    least_share: float
    after_loss: bool = True


ORDER = (
    Turn(Source.HARVEST, 1.0),
    Turn(Source.RIPE, 1.0),
    Turn(Source.UNRIPE, 1.0, after_loss=False),  # what is planned opens no bottle while a vessel can give
    Turn(Source.RIPENING, 1.0),
    Turn(Source.STARTER, 1.0),
    Turn(Source.BACKUP, 1.0),
    Turn(Source.UNRIPE, 1.0),
    Turn(Source.STARTER, THIN_START),
    Turn(Source.BACKUP, THIN_START),
)
"""The order in which sources are asked. All vessels that wait ask one before any asks the next. Our choice."""

BOTTLES = (Source.STARTER, Source.BACKUP)


def may_give(source: Source, z: Any, z_then: Any, age_days: Any, harvested: Any) -> Any:
    """Whether a living vessel belongs to a source; ValueError for the bottles.

    `z_then` is its z on the last open day within `WAIT_DAYS` (that of today if there is none), `age_days` the days
    since it was filled or re-seeded, `harvested` whether it is harvested today. Suspects never give: the caller
    leaves them out.

    >>> may_give(Source.RIPE, z=0.2, z_then=0.2, age_days=9, harvested=False)
    True
    """
    left_alone = harvested ^ True
    if source is Source.HARVEST:
        return harvested
    if source is Source.RIPE:
        return left_alone & (z <= RIPE_Z)
    unripe = left_alone & (z > RIPE_Z)
    if source is Source.RIPENING:
        return unripe & (z_then <= RIPE_Z)
    if source is Source.UNRIPE:
        return unripe & (z <= DONOR_Z) & (age_days > SETTLED_DAYS)
    raise ValueError(f"{source.name} is no vessel")


def seniority(reseeds: Any, age_days: Any) -> Any:
    """The order among vessels of one source, lowest first: fewest re-seeds, then the longest grown.

    >>> sorted([(1, 9), (0, 3), (1, 12)], key=lambda pair: seniority(*pair))
    [(0, 3), (1, 12), (1, 9)]
    """
    return reseeds * _MORE_DAYS - age_days


def suffices(turn: Turn, cells: Any, least_cells: Any) -> Any:
    """Whether so many cells are a start in this turn for a vessel whose least inoculum is `least_cells`.

    >>> suffices(Turn(Source.BACKUP, THIN_START), cells=1.6e8, least_cells=2.9e8)
    True
    """
    return cells >= turn.least_share * least_cells
