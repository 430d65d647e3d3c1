"""`greenrota reckon salinity`, `salt`, `dilute` and `topup`: seawater for a vessel, and what evaporated from it."""

from __future__ import annotations

from typing import Annotated

import typer

from greenrota.cli.options.options import AsJson, Units, UnitsShown, number_option
from greenrota.cli.options.quantities import (
    doubts_about,
    in_range,
    read_measured,
    read_quantity,
    read_reference,
    read_salinity,
)
from greenrota.cli.system import out

Volume = Annotated[str, typer.Argument(metavar="VOLUME", help='Finished volume of water, such as "4 L".')]
Salinity = Annotated[
    str, typer.Argument(metavar="SALINITY", help='Salinity wanted, "26 psu", "26 g/kg" or "1.020 SG".')
]
Compared = Annotated[
    str, typer.Option("--hydrometer", metavar="T/T", help="What an SG reading compares; see the instrument.")
]
At = Annotated[str, typer.Option("--at", metavar="TEMPERATURE", help="Temperature of the water.")]

_REFERENCE = "25C/25C"  # the default of the plan file
_ROOM = "25 degC"  # our choice: where that hydrometer is right


def salinity(
    reading: Annotated[
        str, typer.Argument(metavar="READING", help='"1.020 SG", or "26 psu" for the reverse.')
    ],
    hydrometer: Compared = _REFERENCE,
    at: Annotated[
        str | None,
        typer.Option("--at", metavar="TEMPERATURE", help="Of the sample; default: the hydrometer's own."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Salinity from a specific-gravity reading, or the reverse."""
    from greenrota.views.reckon.seawater import salinity_answer

    value, kind = read_measured(reading, ("gravity", "salinity"), "READING")
    reference = read_reference(hydrometer, "--hydrometer")
    sample_c = reference.sample_c if at is None else read_quantity(at, "temperature", "--at")
    with in_range("reckon salinity"):
        answer = salinity_answer(value, kind == "gravity", reference, sample_c)
    out.answer(answer, as_json)


def salt(
    volume: Volume,
    salinity: Salinity,
    hydration: Annotated[
        float, number_option("--hydration", "SHARE", "Share of the dry mix that is bound water.")
    ] = 0.10,
    hydrometer: Compared = _REFERENCE,
    at: At = _ROOM,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Grams of dry salt mix for a volume of seawater."""
    from greenrota.culture.bounds.plausible import HYDRATION
    from greenrota.views.reckon.seawater import salt_answer

    volume_l = read_quantity(volume, "volume", "VOLUME")
    psu = read_salinity(salinity, hydrometer, "SALINITY")
    water_c = read_quantity(at, "temperature", "--at")
    doubts = doubts_about(("--hydration", hydration, HYDRATION))
    with in_range("reckon salt"):
        answer = salt_answer(volume_l, psu, water_c, hydration, units)
    out.answer(answer, as_json, doubts)


def dilute(
    volume: Volume,
    salinity: Salinity,
    source: Annotated[
        str, typer.Option("--from", metavar="SALINITY", help="Salinity of the stronger seawater.")
    ],
    hydrometer: Compared = _REFERENCE,
    at: At = _ROOM,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Stronger seawater and fresh water for a weaker mix."""
    from greenrota.views.reckon.seawater import dilute_answer

    volume_l = read_quantity(volume, "volume", "VOLUME")
    psu = read_salinity(salinity, hydrometer, "SALINITY")
    strong_psu = read_salinity(source, hydrometer, "--from")
    water_c = read_quantity(at, "temperature", "--at")
    with in_range("reckon dilute"):
        answer = dilute_answer(volume_l, psu, strong_psu, water_c, units)
    out.answer(answer, as_json)


def topup(
    volume: Annotated[str, typer.Argument(metavar="VOLUME", help="Volume in the vessel now.")],
    now: Annotated[str, typer.Argument(metavar="NOW", help="Its salinity now.")],
    goal: Annotated[str, typer.Argument(metavar="GOAL", help="The salinity wanted.")],
    hydrometer: Compared = _REFERENCE,
    at: At = _ROOM,
    units: Units = UnitsShown.metric,
    as_json: AsJson = False,
) -> None:
    """Fresh water that makes up for what evaporated."""
    from greenrota.views.reckon.seawater import topup_answer

    volume_l = read_quantity(volume, "volume", "VOLUME")
    now_psu = read_salinity(now, hydrometer, "NOW")
    goal_psu = read_salinity(goal, hydrometer, "GOAL")
    water_c = read_quantity(at, "temperature", "--at")
    with in_range("reckon topup"):
        answer = topup_answer(volume_l, now_psu, goal_psu, water_c, units)
    out.answer(answer, as_json)
