"""The plan as frozen records: the vessels and supplies a person has, and what is wanted of them.

Plain floats with the unit in the name; nothing here reads a file. `planfile` makes these records and is the
only way in, so a record may rely on its ranges (shares 0..1, volumes above zero, dates in order).
Optional keys are None when the plan leaves them out: the rota then chooses and says what it chose.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from greenrota.culture.data.medium import Medium
from greenrota.culture.data.strain import Strain
from greenrota.rota.wording import numbered

TANK = "tank"  # the name of the tank among the consumers; our choice
BUCKET_L = 20.0  # what a household bucket with a lid holds; our choice


@dataclass(frozen=True, slots=True)
class Water:
    """The seawater that is mixed: target salinity (practical) and the dry salt's share of bound water.

    `bucket_l` is what the bucket holds in which it is mixed.
    `salinity_written` and `hydrometer_written` are as a person wrote them in the plan, "" where nobody did.
    """

    salinity_psu: float
    salt_hydration: float = 0.10
    bucket_l: float = BUCKET_L
    salinity_written: str = field(default="", compare=False)
    hydrometer_written: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Nutrient:
    """A nutrient bottle. `dose_ml_per_l` brings plain seawater to the medium's full strength.

    `other_part` names the second bottle of a two-part concentrate, dosed alike. `bottle_ml` is what is left now,
    `size_ml` what a new bottle holds and `price` what it costs, in the currency of `Prices`. `dose_written` is the
    dose as a person wrote it in the plan, "" where nobody did.
    """

    name: str
    medium: Medium
    dose_ml_per_l: float
    bottle_ml: float | None = None
    opened: date | None = None
    other_part: str | None = None
    size_ml: float | None = None
    price: float | None = None
    dose_written: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Starter:
    """A bottle of living starter culture; `keep_back` is the share held in the fridge as insurance.

    `price` is that of the whole bottle.
    """

    name: str
    strain: str
    volume_ml: float
    density_per_ml: float
    on_hand: date
    keep_back: float = 0.25
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Vessel:
    """One culture vessel. `brim_l` is what it holds to the rim, `fill_l` the working volume.

    `role` is "production" or "standby" (kept alive as a back-up; its harvest is not given to animals).
    """

    name: str
    strain: str
    nutrient: str
    brim_l: float
    fill_l: float
    temperature_c: float
    photoperiod_h: float
    role: str = "production"
    light_lux: float | None = None
    air_l_per_min: float | None = None
    lights_on_h: float = 8.0


@dataclass(frozen=True, slots=True)
class CyclePlan:
    """The `[cycle]` table; None means the rota chooses. `backup_ml` is the most that a fridge back-up holds."""

    inoculum: float | None = None
    days: int | None = None
    feed_day: int | None = None
    feed_dose: float = 1.0
    renew_after: int | None = None
    backup_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Diet:
    """Which strains somebody is fed. `any_of` empty: every strain will do.

    `shares` (strain, share of the ration; they add up to 1) binds each part of the ration to its strain.
    """

    any_of: tuple[str, ...] = ()
    shares: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Tank:
    """The tank that is fed: its volume, the daily ration, and how long a harvest stays usable.

    The ration is a volume or, where `ration_cells_per_ml` is set, so many cells per mL of tank water a day
    (`ration_ml_per_day` is then 0). The limits are the person's own, for what the rations add. `ramp`: the first
    week is fed in rising steps. A lower `priority` is served first.
    """

    volume_l: float
    ration_ml_per_day: float
    keeps_days: int = 14
    ration_cells_per_ml: float | None = None
    diet: Diet = Diet()
    priority: int = 1
    ramp: bool = False
    nitrate_limit_mg_per_l: float | None = None
    phosphate_limit_mg_per_l: float | None = None


@dataclass(frozen=True, slots=True)
class Consumer:
    """Somebody else who is fed from the same bottles, a copepod culture say; fields as in `Tank`.

    `volume_l` is its own water; needed only for a ration in cells.
    """

    name: str
    ration_ml_per_day: float
    ration_cells_per_ml: float | None = None
    volume_l: float | None = None
    diet: Diet = Diet()
    priority: int = 2
    ramp: bool = False


@dataclass(frozen=True, slots=True)
class Prices:
    """What things cost, plain numbers in one currency; None where the plan does not say."""

    currency: str = ""
    salt_per_kg: float | None = None
    bleach_per_l: float | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """When there is time. `weekdays` as `date.weekday()` gives them (Monday 0); `jobs_per_day` None: no limit."""

    weekdays: frozenset[int] = frozenset(range(7))
    jobs_per_day: int | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """Days when nobody is at home, both ends included."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Hazards:
    """The `[risk]` table: chances a day, shares of vessels lost, and days; None means the assumed figure.

    Chances of crash, over-ripe and contamination are per vessel; the others hit all vessels at once.
    """

    crash_per_day: float | None = None
    over_ripe_per_day: float | None = None
    contamination_per_day: float | None = None
    fouling_days: float | None = None
    hidden_days: int | None = None
    power_cut_per_day: float | None = None
    power_cut_loss: float | None = None
    heat_wave_per_day: float | None = None
    heat_wave_loss: float | None = None
    forgotten_air_per_day: float | None = None
    forgotten_air_loss: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan. `strains` holds every strain in use, built-in figures already replaced by the person's own.

    `units` is "metric" or "us". `task_hour_h` is the hour of the day at which tasks stand in a calendar; None: all
    day.
    """

    name: str
    start: date
    days: int
    strains: Mapping[str, Strain]
    water: Water
    nutrients: Mapping[str, Nutrient]
    starters: tuple[Starter, ...]
    vessels: tuple[Vessel, ...]
    cycle: CyclePlan = field(default_factory=CyclePlan)
    tank: Tank | None = None
    work: Work = field(default_factory=Work)
    away: tuple[Away, ...] = ()
    units: str = "metric"
    consumers: tuple[Consumer, ...] = ()
    prices: Prices = Prices()
    hazards: Hazards | None = None
    task_hour_h: float | None = None

    def __repr__(self) -> str:
        """One line; the records are there to be asked."""
        strains = ", ".join(sorted({vessel.strain for vessel in self.vessels}))
        vessels = numbered(len(self.vessels), "vessel")
        return f"<Plan {self.name!r} from {self.start} through {self.through}: {vessels} of {strains}>"

    @property
    def through(self) -> date:
        """Last day of the horizon, included."""
        return self.start + timedelta(days=self.days - 1)

    def vessel(self, name: str) -> Vessel:
        """The vessel of that name; KeyError if the plan has none."""
        for vessel in self.vessels:
            if vessel.name == name:
                return vessel
        raise KeyError(name)
