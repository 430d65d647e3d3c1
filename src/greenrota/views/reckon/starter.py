"""Answers of `greenrota reckon inoculum` and `starter`: how much starts a vessel, how many a bottle can start."""

from __future__ import annotations

from greenrota.culture.bench.inoculum import (
    MIN_START_SHARE,
    how_many_vessels,
    inoculum_l_for_density,
    inoculum_l_for_share,
    split_starter,
    start_density,
)
from greenrota.culture.bench.instrument import below_ml
from greenrota.culture.data.strain import Strain
from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.measured import alone
from greenrota.rota.wording import numbered
from greenrota.views.reckon.reckoning import Reckoning, care_for
from greenrota.views.text import amount


def inoculum_answer(
    fill_l: float, source_per_ml: float, share: float | None, goal_per_ml: float | None, units: str = "metric"
) -> Reckoning:
    """Inoculum (mL) for a working volume, by share of it or by the density wanted; one of the two is None.

    ValueError as in `culture.inoculum`.

    >>> inoculum_answer(4.0, 1.5e6, None, 1e5).lines[0]
    ('inoculum', '270 mL of 1.5 million cells/mL')
    """
    if goal_per_ml is not None:
        poured_l = inoculum_l_for_density(fill_l, goal_per_ml, source_per_ml)
    else:
        poured_l = inoculum_l_for_share(fill_l, share or 0.0)
    start_per_ml = start_density(fill_l, poured_l, source_per_ml)
    seawater_l = fill_l - poured_l
    read = alone(Amounts(inoculum_ml=ML_PER_L * poured_l, seawater_ml=ML_PER_L * seawater_l))
    return Reckoning(
        "inoculum",
        (
            (
                "inoculum",
                f"{amount.volume(read.inoculum_ml or 0.0, units)} of {amount.million_cells(source_per_ml)}",
            ),
            ("seawater", f"{amount.volume(read.seawater_ml or 0.0, units)} with nutrients for all of it"),
            ("starts at", f"{amount.million_cells(start_per_ml)}, {poured_l / fill_l:.0%} of the volume"),
        ),
        {
            "inoculum_ml": ML_PER_L * poured_l,
            "seawater_ml": ML_PER_L * seawater_l,
            "share": poured_l / fill_l,
            "start_per_ml": start_per_ml,
        },
    )


def starter_answer(
    volume_ml: float,
    density_per_ml: float,
    keep_back: float,
    fill_l: float,
    strain: Strain,
    vessels: int | None = None,
    units: str = "metric",
) -> Reckoning:
    """A bottle of starter, shared out over so many vessels, or as many as it seeds, of one working volume.

    ValueError as in `split_starter`.

    >>> from greenrota.culture.data.strain import strains
    >>> starter_answer(500.0, 2e6, 0.25, 3.8, strains()["tetraselmis"]).lines[1]
    ('seeds', '2 vessels of 3.80 L at the most')
    """
    ceiling_per_ml = bench_ceiling_per_ml(strain, fill_l)
    most = how_many_vessels(volume_ml, density_per_ml, keep_back, fill_l, ceiling_per_ml)
    split = split_starter(volume_ml, keep_back, max(1, most) if vessels is None else vessels)
    each_ml = min(split.per_vessel_ml, ML_PER_L * fill_l)
    start_per_ml = start_density(fill_l, each_ml / ML_PER_L, density_per_ml)
    share = start_per_ml / ceiling_per_ml
    poured_ml = below_ml(each_ml)  # what the instrument does not show stays in the bottle
    kept_ml = below_ml(volume_ml - poured_ml * split.vessels)
    fill = amount.litres(fill_l, units)
    lines = (
        ("keep", f"{amount.volume(kept_ml, units)} in the fridge, against a crash"),
        ("seeds", f"{numbered(most, 'vessel')} of {fill} at the most" if most else f"no vessel of {fill}"),
        ("each gets", f"{amount.volume(poured_ml, units)}, for {numbered(split.vessels, 'vessel')}"),
        ("starts at", f"{amount.million_cells(start_per_ml)}, {_percent(share)} of its ceiling"),
    )
    figures = {
        "kept_ml": volume_ml - each_ml * split.vessels,
        "most_vessels": most,
        "vessels": split.vessels,
        "each_ml": each_ml,
        "start_per_ml": start_per_ml,
        "share_of_ceiling": share,
    }
    return Reckoning("starter", lines, figures, (*_thin(share), *care_for("starter")))


def _percent(share: float) -> str:
    """A share in whole per cent; below one per cent with one decimal, below 0.1 as "under 0.1%".

    >>> _percent(0.07), _percent(0.002), _percent(0.0001)
    ('7%', '0.2%', 'under 0.1%')
    """
    if share >= 0.01:
        return f"{share:.0%}"
    return f"{share:.1%}" if share >= 0.001 else "under 0.1%"


def _thin(share: float) -> tuple[str, ...]:
    """What to know of a start at a low share of the ceiling; nothing of one that is high enough."""
    if share >= MIN_START_SHARE:
        return ()
    return (
        f"a start at {share:.1%} of the ceiling is under {MIN_START_SHARE:.1%}: slow, and easily overgrown; "
        "fill a smaller vessel or fewer",
    )
