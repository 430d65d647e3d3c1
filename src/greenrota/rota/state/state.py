"""State: what stands in vessels, in the fridge and in harvest bottles on a day.

Records are frozen; a `State` holds them in mappings that the functions of `actions` change. The logbook and the
simulation both go through them, so what was done and what is planned follow one rule.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import Broth
from greenrota.rota.plan import Plan
from greenrota.rota.state.bench import Bench


def batch_id(vessel: str, number: int) -> str:
    """The id of the batch of a vessel that bears a number, from 1 on. A name holds no slash.

    >>> batch_id("north", 3)
    'north/3'
    """
    return f"{vessel}/{number}"


def vessel_and_number(batch: str) -> tuple[str, int]:
    """What a batch id is made of: undoes `batch_id`.

    >>> vessel_and_number("north/3")
    ('north', 3)
    """
    vessel, _, number = batch.rpartition("/")
    return vessel, int(number)


def vessel_of(batch: str) -> str:
    """The vessel that a batch id names."""
    return batch.rpartition("/")[0]


BACK_UP = "fridge:"  # how the id of a fridge back-up begins


def back_up_id(batch: str) -> str:
    """The id of the fridge back-up that was filled from a batch.

    >>> back_up_id("north/3")
    'fridge:north/3'
    """
    return f"{BACK_UP}{batch}"


def harvest_id(batch: str, earlier: int) -> str:
    """The id of a harvest bottle: by its batch, with a number from the second bottle of the batch on.

    >>> harvest_id("north/3", 0), harvest_id("north/3", 1)
    ('harvest:north/3', 'harvest:north/3.2')
    """
    return f"harvest:{batch}" if earlier == 0 else f"harvest:{batch}.{earlier + 1}"


class Batch(NamedTuple):
    """One filling of one vessel from one inoculum. `id` is made by `batch_id`.

    `parent` is `starter:NAME`, `fridge:BATCH` or a batch id. `reseeds` counts the re-seeds since the vessel was last
    broken down (0 for a fresh start).
    """

    id: str
    vessel: str
    strain: str
    number: int
    parent: str
    started: date
    reseeds: int


class Culture(NamedTuple):
    """A living batch in a vessel: its broth as it was on a day.

    `fed_on` is the last second dose; `light_h` a photoperiod other than the vessel's usual one; `harvests` is how
    many harvest bottles have been filled from the batch, `topups` how often it was topped up; `filling`: it is still
    to be topped up to the working volume.
    """

    batch: Batch
    broth: Broth
    on: date
    fed_on: date | None = None
    light_h: float | None = None
    harvests: int = 0
    topups: int = 0
    filling: bool = False


class FridgeBottle(NamedTuple):
    """Living culture in the fridge: a starter (`starter:NAME`) or a back-up (`fridge:BATCH`).

    `held_ml` is the part of a starter kept back as insurance while there is any other way.
    """

    id: str
    strain: str
    volume_ml: float
    density_per_ml: float
    filled: date
    parent: str | None
    held_ml: float = 0.0


class HarvestBottle(NamedTuple):
    """Harvested culture in a bottle, for the animals: from one batch on one day, `broth` as it was harvested.

    `id` is made by `harvest_id`. A fridge back-up that was replaced keeps its own id, counts from the day it was
    filled, and has the day of its replacement in `replaced_on`. `barred_on` is the first day on which it may not be
    given to anybody, because it is suspect or condemned; `cleared_on` the day from which it may be given again.
    """

    id: str
    batch: str
    strain: str
    on: date
    volume_ml: float
    broth: Broth
    barred_on: date | None = None
    cleared_on: date | None = None
    replaced_on: date | None = None

    def is_barred(self, on: date) -> bool:
        """True on a day on which nothing of it may be given."""
        if self.barred_on is None or on < self.barred_on:
            return False
        return self.cleared_on is None or on < self.cleared_on

    @property
    def is_back_up(self) -> bool:
        """True for a fridge back-up that was replaced: it is offered, but no ration is planned on it."""
        return self.replaced_on is not None


@dataclass(slots=True)
class State:
    """Everything alive and usable at one moment. Copies share the frozen records, not the mappings.

    `cultures` is by vessel; `bottles` are those in the fridge now, `filled` all there ever were; `batches` all batches
    ever by id; `numbers` the last batch number of each vessel; `harvests` all harvest bottles ever filled and the
    back-ups that were replaced, in the order in which they came.
    """

    cultures: dict[str, Culture] = field(default_factory=dict)
    bottles: dict[str, FridgeBottle] = field(default_factory=dict)
    filled: dict[str, FridgeBottle] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)
    harvests: list[HarvestBottle] = field(default_factory=list)

    def copy(self) -> "State":
        """A copy that can be changed without changing this one."""
        return State(
            dict(self.cultures),
            dict(self.bottles),
            dict(self.filled),
            dict(self.batches),
            dict(self.numbers),
            list(self.harvests),
        )

    def put(self, bottle: FridgeBottle) -> None:
        """Put a bottle into the fridge."""
        self.bottles[bottle.id] = bottle
        self.filled[bottle.id] = bottle

    def at(self, bench: Bench, on: date) -> Culture | None:
        """What stands in the bench's vessel, grown to a day; None if the vessel is empty."""
        culture = self.cultures.get(bench.vessel.name)
        if culture is None or culture.on == on:
            return culture
        days = float((on - culture.on).days)
        grown = bench.lit(culture.light_h).grow(culture.broth, days)
        return Culture(  # a search grows thousands, and `_replace` takes twice as long
            culture.batch,
            grown,
            on,
            culture.fed_on,
            culture.light_h,
            culture.harvests,
            culture.topups,
            culture.filling,
        )

    def next_batch_id(self, vessel: str) -> str:
        """The id the vessel's next batch will bear."""
        return batch_id(vessel, self.numbers.get(vessel, 0) + 1)


def first_state(plan: Plan) -> State:
    """The state before anything was done: empty vessels and the starters of the plan."""
    state = State()
    for starter in plan.starters:
        bottle = FridgeBottle(
            id=f"starter:{starter.name}",
            strain=starter.strain,
            volume_ml=starter.volume_ml,
            density_per_ml=starter.density_per_ml,
            filled=starter.on_hand,
            parent=None,
            held_ml=starter.volume_ml * starter.keep_back,
        )
        state.put(bottle)
    return state
