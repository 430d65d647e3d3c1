"""`greenrota reckon`: bench arithmetic without a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from greenrota.cli.options import completion
from greenrota.cli.options.moments import ByMoment, as_typed
from greenrota.cli.options.options import AsJson, Units, UnitsShown, number_option
from greenrota.cli.options.quantities import (
    doubts_about,
    in_range,
    read_measured,
    read_quantity,
)
from greenrota.cli.options.vessel_name import known_medium
from greenrota.cli.reckon.secchi import secchi
from greenrota.cli.reckon.starter import inoculum, starter
from greenrota.cli.reckon.water import Volume, dilute, salinity, salt, topup
from greenrota.cli.system import out


def dose(
    volume: Volume,
    per_litre: Annotated[
        str, typer.Argument(metavar="DOSE", help='Label dose of the bottle, such as "0.20 mL/L".')
    ],
    doses: Annotated[
        float, number_option("--doses", "N", "How many label doses; 1 is the full medium.")
    ] = 1.0,
    medium: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Also say what it brings: f/2, f/2-Si, L1 or Walne.",
            autocompletion=completion.media,
        ),
    ] = None,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Millilitres of a nutrient bottle for a fill or a feed."""
    from greenrota.culture.bounds.bounds_for import dose_bounds
    from greenrota.culture.bounds.plausible import LABEL_DOSES
    from greenrota.views.reckon.arithmetic import dose_answer

    volume_l = read_quantity(volume, "volume", "VOLUME")
    label_ml_per_l = read_quantity(per_litre, "dose", "DOSE")
    known = None if medium is None else known_medium(medium, "--medium")
    doubts = doubts_about(("DOSE", label_ml_per_l, dose_bounds(known)), ("--doses", doses, LABEL_DOSES))
    with in_range("reckon dose"):
        answer = dose_answer(volume_l, label_ml_per_l, doses, known, units)
    out.answer(answer, as_json, doubts)


def count(
    cells: Annotated[int, typer.Argument(metavar="CELLS", help="Cells counted, all squares together.")],
    squares: Annotated[
        float, number_option("--squares", "N", "Large squares counted, 1 mm x 1 mm x 0.1 mm each.")
    ] = 4.0,
    dilution: Annotated[
        float, number_option("--dilution", "N", "1 undiluted; 10 for one part made up to ten.")
    ] = 1.0,
    confidence: Annotated[
        float, number_option("--confidence", "SHARE", "Confidence of the interval.")
    ] = 0.95,
    as_json: AsJson = False,
) -> None:
    """Density from a haemocytometer count, with its interval."""
    from greenrota.culture.bench.count import seen_per_ml
    from greenrota.culture.bounds.plausible import DENSITY
    from greenrota.views.reckon.arithmetic import count_answer

    with in_range("reckon count"):
        answer = count_answer(cells, squares, dilution, confidence)
        found_per_ml = seen_per_ml(cells, squares, dilution)
    doubts = doubts_about(("CELLS", found_per_ml, DENSITY)) if cells else ()
    out.answer(answer, as_json, doubts)


def bleach(
    volume: Volume,
    chlorine: Annotated[str, typer.Argument(metavar="CHLORINE", help='Chlorine wanted, such as "25 mg/L".')],
    percent: Annotated[
        float, number_option("--percent", "N", "Sodium hypochlorite in the bottle, from its label.")
    ],
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Bleach for a chlorine dose, with its cautions."""
    from greenrota.culture.bounds.plausible import CHLORINE_MG_PER_L, HYPOCHLORITE_PERCENT
    from greenrota.views.reckon.arithmetic import bleach_answer

    volume_l = read_quantity(volume, "volume", "VOLUME")
    mg_per_l = read_quantity(chlorine, "mass per volume", "CHLORINE")
    with in_range("reckon bleach"):
        answer = bleach_answer(volume_l, mg_per_l, percent, units)
    doubts = doubts_about(
        ("CHLORINE", mg_per_l, CHLORINE_MG_PER_L), ("--percent", percent, HYPOCHLORITE_PERCENT)
    )
    out.answer(answer, as_json, doubts)


def light(
    reading: Annotated[
        str, typer.Argument(metavar="READING", help='At the vessel: "4000 lux" or "60 umol/m2/s".')
    ],
    hours: Annotated[str, typer.Option(metavar="HOURS", help="Hours of light a day.")] = "16 h",
    lamp_on: Annotated[float, number_option("--lamp-on", "HOUR", "Hour at which the lamp goes on.")] = 8.0,
    as_json: AsJson = False,
) -> None:
    """PAR, light of a day, growth credit and timer of a lamp."""
    from greenrota.culture.bounds.plausible import PHOTOPERIOD_H
    from greenrota.culture.growth.light import lux_from_par
    from greenrota.views.reckon.arithmetic import light_answer

    value, kind = read_measured(reading, ("light", "photons"), "READING")
    light_h = read_quantity(hours, "hours", "--hours")
    with in_range("reckon light"):
        lux = value if kind == "light" else lux_from_par(value)
        answer = light_answer(lux, light_h, lamp_on)
    out.answer(answer, as_json, doubts_about(("--hours", light_h, PHOTOPERIOD_H)))


_WATER = "Water"
_CULTURE = "Culture and light"

RECKONINGS: tuple[tuple[str, Callable[..., None], str], ...] = (
    (_WATER, salinity, 'greenrota reckon salinity "1.020 SG" --hydrometer 20C/20C'),
    (_WATER, salt, 'greenrota reckon salt "4 L" "26 psu" --hydration 0.10'),
    (_WATER, dilute, 'greenrota reckon dilute "4 L" "26 psu" --from "35 psu"'),
    (_WATER, topup, 'greenrota reckon topup "3.8 L" "28 psu" "26 psu"'),
    (_CULTURE, starter, 'greenrota reckon starter "500 mL" "2e6 cells/mL" --fill "3.8 L"'),
    (_CULTURE, inoculum, 'greenrota reckon inoculum "4 L" --density "1e5 cells/mL" --from "1.5e6 cells/mL"'),
    (_CULTURE, dose, 'greenrota reckon dose "4 L" "0.20 mL/L" --medium f/2'),
    (_CULTURE, count, "greenrota reckon count 184 --squares 4 --dilution 10"),
    (_CULTURE, secchi, "greenrota reckon secchi 14 --pair 10=9e5 --pair 20=4e5"),
    (_CULTURE, bleach, 'greenrota reckon bleach "4 L" "25 mg/L" --percent 5.25'),
    (_CULTURE, light, 'greenrota reckon light "4000 lux" --hours "14 h" --lamp-on 8'),
)


def reckon() -> typer.Typer:
    """The group of reckonings as typer sees it."""
    group = typer.Typer(
        name="reckon",
        cls=ByMoment,
        help="Arithmetic for single questions: salt, doses, counts, bleach.",
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    for moment, command, example in RECKONINGS:
        group.command(epilog=as_typed(example), rich_help_panel=moment)(command)
    return group
