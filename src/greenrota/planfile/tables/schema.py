"""The tables of a plan file: for each key what it takes and what it means.

Docstrings and descriptions of the tables go into the JSON Schema. To add a key: add a line here, a field to the
record in `rota/plan.py`, a line in `build.py` and one in `blank.toml`, and renew `docs/plan.schema.json`.
"""

from datetime import date
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from greenrota.culture.bounds import plausible
from greenrota.culture.water.seawater import Hydrometer
from greenrota.planfile.fields.days import Clock
from greenrota.planfile.fields.figure import Amount, Bare, Comparison
from greenrota.planfile.fields.naming import UNSAID, Choice, Reference
from greenrota.planfile.fields.terms import (
    USUAL_HYDROMETER,
    BottleMl,
    BucketL,
    Date,
    DensityPerMl,
    LightLux,
    NameText,
    SalinityPsu,
    Temperature,
    VesselL,
    Weekday,
)
from greenrota.planfile.tables.base import Table
from greenrota.planfile.tables.feeding import ConsumerTable, Price, PricesTable, TankTable
from greenrota.planfile.tables.hazards import RiskTable
from greenrota.planfile.tables.own_figures import MediumTable, StrainTable
from greenrota.planfile.text.refusal import refusal
from greenrota.rota.plan import BUCKET_L


class RotaTable(Table):
    """The plan itself."""

    name: NameText = Field(description="What this plan is called.")
    start: Date = Field(description="First day of the rota.")
    days: Annotated[int, Bare("a number of days", "31", 1, 400, whole=True)] = Field(
        description="How many days are planned: from `start` on, or with a logbook from the day it is."
    )
    strain: Annotated[str | None, Reference("strain")] = Field(
        default=None, description="Strain of vessels and starters that name none."
    )


class RoomTable(Table):
    """Where the vessels stand."""

    temperature: Temperature = Field(description="Temperature of vessels that name none: degC or degF.")


class WaterTable(Table):
    """The seawater that is mixed."""

    hydrometer: Annotated[Hydrometer, Comparison()] = Field(
        default=USUAL_HYDROMETER, description="What an SG reading compares; used only with SG."
    )
    salinity: SalinityPsu = Field(
        description="Salinity that is mixed: psu, ppt, g/kg (absolute), or a reading in SG."
    )
    salt_hydration: Annotated[float, Bare("a share", "0.10", 0, plausible.HYDRATION.most, share=True)] = (
        Field(default=0.10, description="Share of the dry salt that is bound water.")
    )
    bucket: BucketL = Field(
        default=BUCKET_L,
        description="What the bucket holds in which salt water is mixed for several fillings.",
    )


class NutrientTable(Table):
    """A nutrient bottle."""

    name: NameText = Field(description="What the bottle is called.")
    medium: Annotated[str, Reference("medium")] = Field(
        description="f/2, f/2-Si, L1, Walne, or a [medium.NAME] table of this file."
    )
    dose: Annotated[float, Amount.within(("dose",), plausible.DOSE)] = Field(
        description="Label dose that brings plain seawater to full strength: mL/L, mL/gal, drops/gal."
    )
    bottle: BottleMl | None = Field(default=None, description="What is left in the bottle.")
    opened: Date | None = Field(default=None, description="The day the bottle was opened.")
    other_part: Annotated[str | None, Reference("nutrient")] = Field(
        default=None, description="The second bottle of a two-part concentrate, dosed alike."
    )
    size: BottleMl | None = Field(default=None, description="What a new bottle holds.")
    price: Price | None = Field(default=None, description="What a new bottle costs.")

    @field_validator("other_part")
    @classmethod
    def _another(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is not None and value == info.data.get("name"):
            raise refusal("unknown-nutrient", "other_part names the bottle itself", "name the second bottle")
        return value


class StarterTable(Table):
    """A bottle of living culture that was bought or given."""

    name: NameText = Field(description="What the bottle is called.")
    strain: Annotated[str, Reference("strain", fallback=True)] = Field(
        default=UNSAID, validate_default=True, description="Default: the strain of [rota]."
    )
    volume: BottleMl = Field(description="How much there is.")
    density: DensityPerMl = Field(description="Cells per mL, as the label or a count says.")
    on_hand: Date = Field(description="The day it arrived.")
    keep_back: Annotated[float, Bare("a share", "0.25", 0, 0.95, share=True)] = Field(
        default=0.25, description="Share held back in the fridge as insurance."
    )
    price: Price | None = Field(default=None, description="What the bottle cost.")


class VesselTable(Table):
    """A culture vessel."""

    name: NameText = Field(description="What the vessel is called.")
    volume: VesselL = Field(description="What it holds to the brim.")
    fill: VesselL = Field(description="Working volume.")
    photoperiod: Annotated[float, Amount.within(("hours",), plausible.PHOTOPERIOD_H)] = Field(
        description="Hours of light a day."
    )
    strain: Annotated[str, Reference("strain", fallback=True)] = Field(
        default=UNSAID, validate_default=True, description="Default: the strain of [rota]."
    )
    nutrient: Annotated[str, Reference("nutrient", fallback=True)] = Field(
        default=UNSAID, validate_default=True, description="Default: the only [[nutrient]]."
    )
    temperature: Temperature | None = Field(default=None, description="Default: the temperature of [room].")
    role: Annotated[str, Choice(("production", "standby"))] = Field(
        default="production", description="standby: kept alive as a back-up, its harvest is not counted on."
    )
    light: LightLux | None = Field(
        default=None, description="Light at the vessel: lux, or umol/m2/s of a white LED lamp."
    )
    air: Annotated[float, Amount(("air",), 0.0, plausible.AIR_MOST_L_PER_MIN)] | None = Field(
        default=None, description="Air through the vessel: L/min."
    )
    lights_on: Annotated[float, Clock()] = Field(default=8.0, description="When the lamp goes on.")

    @field_validator("fill")
    @classmethod
    def _below_brim(cls, value: float, info: ValidationInfo) -> float:
        brim_l = info.data.get("volume")
        if brim_l is not None and value > brim_l:
            what = f"fill of {value:.4g} L is more than the vessel holds, {brim_l:.4g} L"
            hint = "fill is the working volume, volume is what the vessel holds to the brim"
            raise refusal("fill-over-brim", what, hint, f"at most {brim_l:.4g} L is wanted")
        return value


class CycleTable(Table):
    """How the vessels are worked; what is left out, the rota chooses."""

    inoculum: Annotated[
        float | None, Bare("a share", "0.20", 0, 1, open_ends=True, share=True, code="inoculum-share")
    ] = Field(default=None, description="Share of the working volume carried over at re-seed.")
    days: Annotated[int | None, Bare.within("a number of days", "8", plausible.CYCLE_DAYS, whole=True)] = (
        Field(default=None, description="Days from start or re-seed to harvest.")
    )
    feed_day: Annotated[int | None, Bare("a day of the batch", "5", 1, 89, whole=True)] = Field(
        default=None, description="Day of the batch on which a second dose is given."
    )
    feed_dose: Annotated[float, Bare.within("a number of label doses", "1.0", plausible.LABEL_DOSES)] = Field(
        default=1.0, description="Second dose, in label doses."
    )
    renew_after: Annotated[
        int | None, Bare.within("a number of re-seeds", "6", plausible.RENEWALS, whole=True)
    ] = Field(default=None, description="Re-seeds before a vessel is broken down and restarted.")
    backup: BottleMl | None = Field(default=None, description="The most that a fridge back-up may hold.")

    @field_validator("feed_day")
    @classmethod
    def _before_harvest(cls, value: int | None, info: ValidationInfo) -> int | None:
        days = info.data.get("days")
        if value is not None and days is not None and value >= days:
            what = f"feed_day {value} is not before the harvest on day {days}"
            wanted = "a day before the harvest is wanted"
            raise refusal("out-of-range", what, f"take a day from 1 to {days - 1}", wanted)
        return value


class WorkTable(Table):
    """When there is time for the work."""

    days: list[Weekday] | None = Field(default=None, min_length=1, description="Default: every day.")
    jobs_per_day: Annotated[int | None, Bare("a number of jobs", "4", 1, 1000, whole=True)] = Field(
        default=None, description="Default: no limit."
    )


class AwayTable(Table):
    """A time away, both days included."""

    first: Date = Field(alias="from", description="First day on which nobody is there.")
    last: Date = Field(alias="to", description="Last such day, included.")

    @field_validator("last")
    @classmethod
    def _in_order(cls, value: date, info: ValidationInfo) -> date:
        first = info.data.get("first")
        if first is not None and value < first:
            what = f"to = {value} lies before from = {first}"
            raise refusal("bad-date-range", what, "swap the two days", f"{first} or later is wanted")
        return value


class OutputTable(Table):
    """How things are shown."""

    units: Annotated[str, Choice(("metric", "us"))] = Field(
        default="metric", description="us: US units beside metric ones."
    )
    hour: Annotated[float | None, Clock()] = Field(
        default=None, description="When tasks stand in a calendar; default: all day."
    )


# `list` and `dict` would do, but pydantic reads the signature of a builtin with Python's tokenizer, for milliseconds.
def _no_tables() -> list[Any]:
    return []


def _none_named() -> dict[str, Any]:
    return {}


class PlanTable(Table):
    """A plan for a rota of microalgae cultures."""

    rota: RotaTable
    room: RoomTable
    water: WaterTable
    nutrient: list[NutrientTable] = Field(min_length=1)
    starter: list[StarterTable] = Field(default_factory=_no_tables)
    vessel: list[VesselTable] = Field(min_length=1)
    cycle: CycleTable = CycleTable()
    tank: TankTable | None = None
    consumer: list[ConsumerTable] = Field(default_factory=_no_tables)
    prices: PricesTable = PricesTable()
    work: WorkTable = WorkTable()
    away: list[AwayTable] = Field(default_factory=_no_tables)
    strain: dict[NameText, StrainTable] = Field(default_factory=_none_named)
    medium: dict[NameText, MediumTable] = Field(default_factory=_none_named)
    risk: RiskTable | None = None
    output: OutputTable = OutputTable()
