"""The tables [strain.NAME] and [medium.NAME]: a person's own figures for strains and media."""

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from greenrota.culture.bounds import plausible
from greenrota.culture.data.strain import strains
from greenrota.planfile.fields.figure import Amount
from greenrota.planfile.fields.naming import Choice
from greenrota.planfile.fields.terms import DensityPerMl, UmolPerL
from greenrota.planfile.tables.base import Table
from greenrota.planfile.text.refusal import refusal


class StrainTable(Table):
    """Own figures for a strain that ships, or a strain of one's own."""

    base: Annotated[str | None, Choice(tuple(strains()))] = Field(
        default=None, description="For a new name: the built-in strain whose other figures are taken."
    )
    rate: Annotated[float, Amount.within(("rate",), plausible.RATE)] | None = Field(
        default=None, description="Own growth rate per day at best temperature and 16 h of light or more."
    )
    ceiling: DensityPerMl | None = Field(default=None, description="Own ceiling; holds for every vessel.")


class MediumTable(Table):
    """A medium of one's own: what a litre holds once the label dose is in it."""

    nitrate: UmolPerL = Field(description="At full strength: umol/L, or mg/L of NO3.")
    phosphate: UmolPerL = Field(description="At full strength: umol/L, or mg/L of PO4.")
    silicate: UmolPerL = Field(default=0.0, description="At full strength: umol/L, or mg/L of SiO2.")

    @field_validator("phosphate")
    @classmethod
    def _feeds(cls, value: float, info: ValidationInfo) -> float:
        if value == 0.0 and info.data.get("nitrate") == 0.0:
            raise refusal(
                "out-of-range", "neither nitrate nor phosphate: it feeds nothing", "give at least one"
            )
        return value
