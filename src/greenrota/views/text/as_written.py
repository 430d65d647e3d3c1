"""What the plan says in a person's own words of measure: a salinity in SG, a dose per gallon or in drops."""

from __future__ import annotations

from greenrota.rota.plan import Nutrient, Plan


def dose_text(nutrient: Nutrient) -> str:
    """The label dose as the plan writes it; in mL/L where no plan file was read."""
    return nutrient.dose_written or f"{nutrient.dose_ml_per_l:.3g} mL/L"


def in_drops(nutrient: Nutrient) -> bool:
    """True where the label counts drops."""
    return "drop" in nutrient.dose_written


def salinity_text(plan: Plan) -> str:
    """The salinity of the seawater as the plan writes it, with the hydrometer of a reading, and in psu."""
    water = plan.water
    psu = f"{water.salinity_psu:.3g} psu"
    written = water.salinity_written or psu
    if written.endswith("SG"):
        on = f" on a {water.hydrometer_written} hydrometer" if water.hydrometer_written else ""
        return f"{written}{on}, that is {psu}"
    return written if written.endswith(("psu", "ppt")) else f"{written}, that is {psu}"


def short_salinity_text(plan: Plan) -> str:
    """As `salinity_text`, where there is room for one figure.

    It is the one that the person's own instrument shows.
    """
    return plan.water.salinity_written or f"{plan.water.salinity_psu:.3g} psu"
