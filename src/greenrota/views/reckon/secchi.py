"""The answer of `greenrota reckon secchi`: density from a reading of clarity."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.culture.bench.optical import PAIRED_ERROR, density_from_reading
from greenrota.views.reckon.reckoning import Reckoning
from greenrota.views.text import amount


def secchi_answer(reading: float, pairs: Sequence[tuple[float, float]]) -> Reckoning:
    """Density (cells/mL) of a culture with this reading, from the person's own pairs of reading and density.

    ValueError as in `density_from_reading`.

    >>> secchi_answer(15.0, [(10.0, 9e5), (20.0, 4.5e5)]).lines[0]
    ('density', '0.60 million cells/mL')
    """
    found = density_from_reading(reading, pairs)
    density = amount.million_cells(found.density_per_ml)
    interval = f"{amount.millions(found.low_per_ml)} to {amount.million_cells(found.high_per_ml)}"
    by = f"{len(pairs)} pairs of your own, density goes with the reading to the power {found.exponent:.2f}"
    cautions = []
    if found.outside:
        more = (found.outside == "above") == (found.exponent > 0.0)
        density = f"{'more' if more else 'less'} than about {density}"
        interval = "none: nothing is read off beyond the pairs"
        cautions.append(
            f"{reading:g} lies {found.outside} every pair; count this culture and add it as a pair of its own"
        )
    elif not found.interval_known:
        cautions.append(
            f"two pairs show no scatter: each is taken to be {PAIRED_ERROR:.0%} off; a third helps"
        )
    return Reckoning(
        "secchi",
        (
            ("density", density),
            ("95 % interval", interval),
            ("by", by),
        ),
        {
            "density_per_ml": found.density_per_ml,
            "low_per_ml": None if found.outside else found.low_per_ml,
            "high_per_ml": None if found.outside else found.high_per_ml,
            "exponent": found.exponent,
            "outside": found.outside or None,
        },
        tuple(cautions),
    )
