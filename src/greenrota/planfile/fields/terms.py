"""What the keys of a plan take: kinds of value with their bounds, each used by one or more tables.

The bounds of what a person can slip with stand in `culture/bounds/plausible.py`: what is possible there is taken here.
Bounds that stand here are our choice unless a source stands beside them.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import ValidationInfo

from greenrota.culture.bounds import plausible
from greenrota.culture.data.medium import ion_umol_per_l
from greenrota.culture.growth.light import lux_from_par
from greenrota.culture.water.seawater import SALINITY_MAX_PSU, Hydrometer, salinity_from_gravity
from greenrota.planfile.fields.days import Day
from greenrota.planfile.fields.figure import Amount
from greenrota.planfile.fields.naming import Choice, Name

USUAL_HYDROMETER = Hydrometer(25.0, 25.0)  # common practice, no source; the plan's default


def _practical(figure: float, kind: str, info: ValidationInfo) -> float:
    """Practical salinity; a specific gravity is converted for the hydrometer of the same table.

    ValueError for a reading outside the range of the equation of state.
    """
    if kind == "salinity":
        return figure
    return salinity_from_gravity(figure, info.data.get("hydrometer", USUAL_HYDROMETER))


def _lux(figure: float, kind: str, info: ValidationInfo) -> float:
    """Lux; a photon flux in umol/m2/s is converted as for a white LED lamp."""
    return figure if kind == "light" else lux_from_par(figure)


def _umol(figure: float, kind: str, info: ValidationInfo) -> float:
    """umol/L; mg/L are converted by the molar mass of the ion that the key is named after."""
    return figure if kind == "amount" else ion_umol_per_l(str(info.field_name), figure)


NameText = Annotated[str, Name()]
Date = Annotated[date, Day()]
Temperature = Annotated[  # 0..40: the range of EOS-80, Millero & Poisson 1981 (seen in a copy)
    float, Amount(("temperature",), least=0.0, most=40.0)
]
BottleMl = Annotated[float, Amount.within(("small volume",), plausible.BOTTLE_ML)]
TankL = Annotated[float, Amount.within(("volume",), plausible.TANK_L)]
VesselL = Annotated[float, Amount.within(("volume",), plausible.VESSEL_L)]
BucketL = Annotated[float, Amount.within(("bucket",), plausible.BUCKET_L)]
DensityPerMl = Annotated[float, Amount.within(("density",), plausible.DENSITY)]
SalinityPsu = Annotated[  # 0.5..43: the range of EOS-80, Millero & Poisson 1981 (seen in a copy)
    float, Amount(("salinity", "gravity"), least=0.5, most=SALINITY_MAX_PSU, convert=_practical)
]
LightLux = Annotated[float, Amount(("light", "photons"), least=1.0, most=2e5, convert=_lux)]
UmolPerL = Annotated[  # the same possible range for nitrate, phosphate and silicate
    float, Amount.within(("amount", "mass per volume"), plausible.NITRATE_UMOL_L, _umol)
]
Weekday = Annotated[str, Choice(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"))]
