"""`greenrota reckon inoculum` and `reckon starter`: how much starts a vessel, and what one bottle can seed."""

from __future__ import annotations

from typing import Annotated

import typer

from greenrota.cli.options import completion
from greenrota.cli.options.options import AsJson, Units, UnitsShown, number_option
from greenrota.cli.options.quantities import doubts_about, in_range, read_quantity
from greenrota.cli.options.vessel_name import known_strain
from greenrota.cli.system import out
from greenrota.errors import Place, Problem, ProblemsFound

_USUAL = "tetraselmis"


def inoculum(
    volume: Annotated[
        str, typer.Argument(metavar="VOLUME", help='Working volume of the vessel, such as "4 L".')
    ],
    source: Annotated[str, typer.Option("--from", metavar="DENSITY", help="Density of what is poured in.")],
    share: Annotated[
        float | None, number_option("--share", "SHARE", "Share of the volume that is inoculum.")
    ] = None,
    density: Annotated[
        str | None, typer.Option(metavar="DENSITY", help='Density to start at, such as "1e5 cells/mL".')
    ] = None,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Culture that starts a vessel, by share or by density."""
    from greenrota.culture.bounds.plausible import DENSITY
    from greenrota.views.reckon.starter import inoculum_answer

    if (share is None) == (density is None):
        what = "give either --share or --density"
        raise ProblemsFound(
            [Problem("bad-usage", Place("--share"), what, "for example --share 0.20")], status=2
        )
    fill_l = read_quantity(volume, "volume", "VOLUME")
    source_per_ml = read_quantity(source, "density", "--from")
    goal_per_ml = None if density is None else read_quantity(density, "density", "--density")
    with in_range("reckon inoculum"):
        answer = inoculum_answer(fill_l, source_per_ml, share, goal_per_ml, units)
    out.answer(answer, as_json, doubts_about(("--from", source_per_ml, DENSITY)))


def starter(
    volume: Annotated[str, typer.Argument(metavar="VOLUME", help='What is in the bottle, such as "500 mL".')],
    density: Annotated[str, typer.Argument(metavar="DENSITY", help='Its density, such as "2e6 cells/mL".')],
    fill: Annotated[str, typer.Option(metavar="VOLUME", help="Working volume of a vessel.")] = "4 L",
    keep_back: Annotated[
        float, number_option("--keep-back", "SHARE", "Share that stays in the fridge.")
    ] = 0.25,
    vessels: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, max=1000, help="Vessels to share it out over; default: most."),
    ] = None,
    strain: Annotated[
        str, typer.Option(metavar="NAME", help="A strain that ships.", autocompletion=completion.strains)
    ] = _USUAL,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """How many vessels one bottle of starter seeds."""
    from greenrota.culture.bounds.bounds_for import starter_bounds
    from greenrota.culture.bounds.plausible import VESSEL_L
    from greenrota.views.reckon.starter import starter_answer

    volume_ml = 1000.0 * read_quantity(volume, "volume", "VOLUME")
    density_per_ml = read_quantity(density, "density", "DENSITY")
    fill_l = read_quantity(fill, "volume", "--fill")
    meant = known_strain(strain, "--strain")
    with in_range("reckon starter"):
        answer = starter_answer(volume_ml, density_per_ml, keep_back, fill_l, meant, vessels, units)
    doubts = doubts_about(("DENSITY", density_per_ml, starter_bounds(meant)), ("--fill", fill_l, VESSEL_L))
    out.answer(answer, as_json, doubts)
