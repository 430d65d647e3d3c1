"""Back-ups: when a bottle in the fridge is filled at a harvest, and how much goes into it."""

from collections.abc import Mapping
from datetime import date
from enum import Enum
from typing import NamedTuple

from greenrota.culture.bench import inoculum
from greenrota.rota.plan import CyclePlan
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import Culture, FridgeBottle, State

REFRESH_SHARE = 0.5  # of a bottle's fridge life, after which a back-up is replaced; our choice
BANK_MARGIN = 1.5  # times the least inoculum: some cells die in the fridge; our choice
FRESH_DAYS = 7  # that a back-up may be old when somebody leaves; our choice
MOST_BACKUP_ML = 1000.0  # more takes up a kitchen fridge, so the plan has to ask for it; our choice


class BankNeed(Enum):
    """What a back-up is filled for."""

    LAST_CULTURE = "the only living culture of the strain is broken down"
    REPLACES = "a bottle is to be replaced"
    NONE_LEFT = "the earlier ones are used up"
    FIRST = "there never was one"


class BottleFault(Enum):
    """Why a back-up has to be replaced."""

    SUSPECT = "suspect"
    OLD = "too old soon"
    LEAVING = "older than a week when nobody will be there"
    DRAWN = "so much was taken that it restarts no vessel"


class BankOrder(NamedTuple):
    """A back-up to be filled: how much, what for, and the bottles it replaces with their faults (None: a good one)."""

    volume_ml: float
    need: BankNeed
    replaces: tuple[tuple[str, BottleFault | None], ...] = ()

    @property
    def retires(self) -> tuple[str, ...]:
        """The ids of the bottles it replaces."""
        return tuple(name for name, _ in self.replaces)


def most_backup_ml(cycle: CyclePlan) -> float:
    """The most that a back-up bottle holds, in mL: what the plan says, else `MOST_BACKUP_ML`."""
    return MOST_BACKUP_ML if cycle.backup_ml is None else cycle.backup_ml


def backup_ml(least_cells: float, density_per_ml: float, most_ml: float) -> float:
    """Culture that fills a back-up: `BANK_MARGIN` times the least inoculum, never more than the bottle holds.

    `least_cells` is the least inoculum of the vessel of the strain that needs least: it is restarted first, and the
    others from it.

    >>> backup_ml(2.86e8, 8.8e5, 1000.0)
    487.5
    """
    return min(BANK_MARGIN * least_cells / density_per_ml, most_ml) if density_per_ml > 0.0 else most_ml


def least_cells(benches: Mapping[str, Bench], strain: str) -> float:
    """Cells that restart the least needy vessel of a strain; ValueError if none grows it."""
    return min(bench.least_cells for bench in benches.values() if bench.strain.name == strain)


def bank_order(
    state: State,
    benches: Mapping[str, Bench],
    bench: Bench,
    culture: Culture,
    on: date,
    renewing: bool,
    least: float,
    suspect: frozenset[str] = frozenset(),
    most_ml: float = MOST_BACKUP_ML,
    leaving_on: date | None = None,
) -> BankOrder | None:
    """Whether the harvest of a day should fill a back-up; None while a good one is in the fridge.

    Good is one that is young enough, not suspect, and that, if it was drawn from, still restarts a vessel. A vessel
    that is broken down while nothing else of its strain lives always fills one. `least` is `least_cells` of the strain.
    `leaving_on` is the first of the days
    away that are near: a bottle that is older than a week by then is not good enough either.
    """
    strain = bench.strain.name
    alone = renewing and _is_alone(state, benches, bench)
    faults: dict[str, BottleFault | None] = {}
    for bottle in state.bottles.values():
        if bottle.parent is not None and bottle.strain == strain:
            faults[bottle.id] = fault = _fault(state, bottle, bench, on, least, suspect, leaving_on)
            if fault is None and not alone:
                return None
    if alone:
        need = BankNeed.LAST_CULTURE
    elif faults:
        need = BankNeed.REPLACES
    elif any(b.parent is not None and b.strain == strain for b in state.filled.values()):
        need = BankNeed.NONE_LEFT
    else:
        need = BankNeed.FIRST
    volume_ml = backup_ml(least, culture.broth.density_per_ml, most_ml)
    return BankOrder(volume_ml, need, tuple((name, faults[name]) for name in sorted(faults)))


def _is_alone(state: State, benches: Mapping[str, Bench], bench: Bench) -> bool:
    """True if the strain of a vessel lives in no other vessel."""
    own, strain = bench.vessel.name, bench.strain.name
    return not any(
        name != own and name in benches and benches[name].strain.name == strain for name in state.cultures
    )


def is_drawn(state: State, bottle: FridgeBottle) -> bool:
    """True once something was taken out of a bottle."""
    return bottle.volume_ml < state.filled[bottle.id].volume_ml


def _fault(
    state: State,
    bottle: FridgeBottle,
    bench: Bench,
    on: date,
    least: float,
    suspect: frozenset[str],
    leaving_on: date | None,
) -> BottleFault | None:
    """Why a back-up has to be replaced; None for a good one."""
    age_days = float(max(0, (on - bottle.filled).days))
    if bottle.id in suspect:
        return BottleFault.SUSPECT
    if age_days >= REFRESH_SHARE * bench.strain.fridge_days:
        return BottleFault.OLD
    if is_drawn(state, bottle):
        alive_share = inoculum.fridge_share_alive(age_days, bench.strain.fridge_days)
        if bottle.volume_ml * bottle.density_per_ml * alive_share < least:
            return BottleFault.DRAWN
    old = leaving_on is not None and (leaving_on - bottle.filled).days > FRESH_DAYS
    return BottleFault.LEAVING if old else None
