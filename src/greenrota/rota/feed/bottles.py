"""Harvest bottles one by one: what the logbook says about them, and the state of each on a day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from greenrota.rota.state.state import HarvestBottle

BottleEntryKind = Literal["given", "given-away", "discarded", "measured"]
BottleState = Literal["good", "suspect", "condemned", "used", "poured_away"]
WITHHELD: tuple[BottleState, ...] = ("suspect", "condemned")  # nothing of these is given to anybody
_STATE_WORDS: Mapping[BottleState, str] = {"condemned": "bad", "poured_away": "poured away"}


class BottleEntry(NamedTuple):
    """What an entry of the logbook says of harvested culture on a day.

    given: to `consumer`, from `bottle` (None: the oldest first). given-away and discarded: out of `bottle`, `volume_ml`
    of it (None: all that is left). measured: `volume_ml` is what is really left.
    """

    on: date
    kind: BottleEntryKind
    bottle: str | None
    consumer: str | None = None
    volume_ml: float | None = None


@dataclass(frozen=True, slots=True)
class BottleRecord:
    """One harvest bottle as it stands in the evening of a day. Volumes in mL.

    `use_by` is the last day on which it may be given. `because` says why it is suspect or condemned, else "".
    `planned`: it is still to be filled.
    """

    bottle: HarvestBottle
    left_ml: float
    use_by: date
    state: BottleState
    because: str = ""
    planned: bool = False

    @property
    def withheld(self) -> bool:
        """True while something is in it that must not be given."""
        return self.state in WITHHELD and self.left_ml > 0.0

    @property
    def state_words(self) -> str:
        """The state as pages say it: condemned is "bad"."""
        return _STATE_WORDS.get(self.state, self.state)


def by_day(entries: Iterable[BottleEntry]) -> Mapping[int, list[BottleEntry]]:
    """The entries of each day (ordinal), in their order."""
    days: dict[int, list[BottleEntry]] = {}
    for entry in entries:
        days.setdefault(entry.on.toordinal(), []).append(entry)
    return days
