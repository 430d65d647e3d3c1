"""The tables [tank], [[consumer]] and [prices]: who is fed, and what things cost."""

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from greenrota.culture.bounds import plausible
from greenrota.planfile.fields.diet import Given, Ration, Strains, mg_per_l
from greenrota.planfile.fields.figure import Amount, Bare, Switch
from greenrota.planfile.fields.terms import NameText, TankL
from greenrota.planfile.tables.base import Table
from greenrota.planfile.text.refusal import refusal
from greenrota.rota.plan import Diet

RationGiven = Annotated[Given, Ration()]
DietGiven = Annotated[Diet, Strains()]
Priority = Annotated[int, Bare("a rank", "1", 1, 99, whole=True)]
YesNo = Annotated[bool, Switch()]
LimitMgPerL = Annotated[
    float, Amount(("mass per volume", "amount"), least=0.0001, most=1e4, convert=mg_per_l)
]
Price = Annotated[float, Bare("a price", "24.90", 0, 1e6)]

_RATION = "What is fed a day: mL/day, or cells/mL/day for each mL of its water."
_STRAINS = "A list of strains that will do, or a table of shares; default: any strain."
_PRIORITY = "Who is served first when feed is short: 1 before 2."
_RAMP = "true: the first week is fed in steps of 25, 50, 75 and 100 %."


class TankTable(Table):
    """What the harvest is for."""

    volume: TankL = Field(description="Water in the tank.")
    ration: RationGiven = Field(description=_RATION)
    keeps: Annotated[float, Amount.within(("days",), plausible.KEEPS_DAYS)] = Field(
        default=14.0, description="How long harvested feed stays usable in the fridge; whole days count."
    )
    strains: DietGiven = Field(default=Diet(), description=_STRAINS)
    priority: Priority = Field(default=1, description=_PRIORITY)
    ramp: YesNo = Field(default=False, description=_RAMP)
    nitrate_limit: LimitMgPerL | None = Field(
        default=None, description="Own limit for the nitrate that the feed adds: mg/L of NO3, or umol/L."
    )
    phosphate_limit: LimitMgPerL | None = Field(
        default=None, description="Own limit for the phosphate that the feed adds: mg/L of PO4, or umol/L."
    )


class ConsumerTable(Table):
    """Somebody else who is fed, such as a copepod culture."""

    name: NameText = Field(description="Who is fed besides the tank, such as a copepod culture.")
    ration: RationGiven = Field(description=_RATION)
    volume: TankL | None = Field(
        default=None, validate_default=True, description="Its water; needed for a ration in cells/mL/day."
    )
    strains: DietGiven = Field(default=Diet(), description=_STRAINS)
    priority: Priority = Field(default=2, description=_PRIORITY)
    ramp: YesNo = Field(default=False, description=_RAMP)

    @field_validator("volume")
    @classmethod
    def _for_cells(cls, value: float | None, info: ValidationInfo) -> float | None:
        ration = info.data.get("ration")
        if value is None and ration is not None and ration.cells_per_ml is not None:
            hint = 'write the volume of its water, for example volume = "10 L"'
            raise refusal("missing-key", "volume is missing, and the ration is for each mL of it", hint)
        return value


class PricesTable(Table):
    """Bare numbers, all in one currency."""

    currency: NameText | None = Field(default=None, description='Name of the currency, such as "EUR".')
    salt_per_kg: Price | None = Field(default=None, description="Price of a kg of dry salt.")
    bleach_per_l: Price | None = Field(default=None, description="Price of a litre of bleach.")
