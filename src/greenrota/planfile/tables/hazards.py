"""The table [risk]: how often things go wrong."""

from typing import Annotated

from pydantic import Field

from greenrota.culture.bounds import plausible
from greenrota.planfile.fields.figure import Amount, Bare
from greenrota.planfile.tables.base import Table

Chance = Annotated[float, Amount.within(("rate",), plausible.CHANCE)]
Loss = Annotated[float, Bare("a share", "0.20", 0, 1, share=True)]

_LOSS = "Share of the vessels that one such event kills."


class RiskTable(Table):
    """Own chances for `greenrota risk`; what is left out is assumed."""

    crash: Chance | None = Field(default=None, description="Crash of its own, chance per vessel: /day.")
    over_ripe: Chance | None = Field(default=None, description="More chance to crash while over-ripe: /day.")
    contamination: Chance | None = Field(
        default=None, description="Chance to catch a contamination right after cleaning, per vessel: /day."
    )
    fouling: Annotated[float, Amount(("days",), least=1.0, most=10000.0)] | None = Field(
        default=None, description="Days since cleaning after which that chance has doubled."
    )
    hidden: Annotated[float, Amount(("days",), least=0.0, most=90.0)] | None = Field(
        default=None, description="Days until a contamination is seen; whole days count."
    )
    power_cut: Chance | None = Field(default=None, description="Long power cut, for the whole shelf: /day.")
    power_cut_loss: Loss | None = Field(default=None, description=_LOSS)
    heat_wave: Chance | None = Field(default=None, description="Heat wave, for the whole shelf: /day.")
    heat_wave_loss: Loss | None = Field(default=None, description=_LOSS)
    forgotten_air: Chance | None = Field(default=None, description="Air left off, for the whole shelf: /day.")
    forgotten_air_loss: Loss | None = Field(default=None, description=_LOSS)
