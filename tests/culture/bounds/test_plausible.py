"""The table of plausible values: its order, its sources, and published figures that must lie inside it."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from greenrota.culture.bounds import bounds_for, plausible
from greenrota.culture.bounds.bounds import Bounds, Verdict, doubt, judge, shown
from greenrota.culture.data.medium import media, own_medium
from greenrota.culture.data.strain import strains

TABLE = {name: value for name, value in vars(plausible).items() if isinstance(value, Bounds)}
MADE = [
    *(bounds_for.dose_bounds(medium) for medium in media().values()),
    *(bounds_for.starter_bounds(strain) for strain in strains().values()),
    *(bounds_for.count_bounds(strain, 1e6) for strain in strains().values()),
    *(bounds_for.ceiling_bounds(strain) for strain in strains().values()),
    *(bounds_for.rate_bounds(strain) for strain in strains().values()),
]
SOURCE = Path(str(plausible.__file__)).read_text(encoding="utf-8")


@pytest.mark.parametrize("bounds", [*TABLE.values(), *MADE], ids=lambda each: f"{each.code} {each.what}")
def test_the_ends_stand_in_order(bounds: Bounds) -> None:
    assert bounds.least <= bounds.usual_low < bounds.usual_high <= bounds.most
    assert bounds.typical is None or bounds.usual_low <= bounds.typical <= bounds.usual_high
    assert (bounds.typical is None) == (bounds.of == "")
    assert re.fullmatch(r"unusual-[a-z]+", bounds.code)


def test_every_bound_says_where_it_comes_from() -> None:
    ends = re.findall(r"^ +(?:least|usual_low|usual_high|most|typical)=.*$", SOURCE, re.MULTILINE)
    assert len(ends) > 4 * 18
    known = (
        r"#.*(our choice|from memory|common practice|definition|arithmetic|\(copy\)|CDC|FAO|\b(19|20)\d\d\b)"
    )
    assert [line for line in ends if not re.search(known, line)] == []


@pytest.mark.parametrize(
    ("value", "name"),
    [
        # published, each seen in the source or a copy of it, see data/strains.toml and docs/model.md
        (0.55, "RATE"),
        (2.4, "RATE"),  # D. tertiolecta at 20 degC, Reay et al. 1999
        (6.5e7, "DENSITY"),  # Nannochloropsis, Wahidin et al. 2013
        (16.0, "PHOTOPERIOD_H"),  # FAO 361 Table 2.2
        (24.0, "PHOTOPERIOD_H"),
        (0.149, "HYDRATION"),  # Kester et al. 1967 weighed as hydrates
        (1.0, "CHLORINE_MG_PER_L"),  # FAO 361: 1-2 mg/L for water
        (200.0, "CHLORINE_MG_PER_L"),  # hatchery vessels
        (1000.0, "CHLORINE_MG_PER_L"),  # surfaces, CDC
        (5.25, "HYPOCHLORITE_PERCENT"),
        (9.0, "HYPOCHLORITE_PERCENT"),
        (0.2, "AIR_VVM"),  # Gabrielyan 2022
        (882.4, "NITRATE_UMOL_L"),  # f/2, Guillard 1975
        (36.2, "PHOSPHATE_UMOL_L"),
        (106.0, "SILICATE_UMOL_L"),
        (56.0, "KEEPS_DAYS"),  # Tetraselmis concentrates beyond 8 weeks, Heasman et al. 2000
    ],
)
def test_what_is_in_print_is_usual(value: float, name: str) -> None:
    assert judge(value, TABLE[name]) is Verdict.USUAL


@pytest.mark.parametrize(
    ("value", "bounds", "verdict"),
    [
        (20.0, bounds_for.dose_bounds(media()["f/2"]), Verdict.UNUSUAL),
        (2.0, bounds_for.dose_bounds(media()["f/2"]), Verdict.UNUSUAL),  # the tenfold slip of 0.2
        (0.02, bounds_for.dose_bounds(media()["f/2"]), Verdict.IMPOSSIBLE),
        (1.0, bounds_for.dose_bounds(media()["Walne"]), Verdict.USUAL),  # Walne 1970, copy
        (8e9, bounds_for.starter_bounds(strains()["tetraselmis"]), Verdict.IMPOSSIBLE),
        (2e7, bounds_for.starter_bounds(strains()["tetraselmis"]), Verdict.UNUSUAL),  # of 2e6
        (2e6, bounds_for.starter_bounds(strains()["tetraselmis"]), Verdict.USUAL),
        (6.5e9, bounds_for.count_bounds(strains()["tetraselmis"], 1.1e6), Verdict.IMPOSSIBLE),
        (6.5e6, bounds_for.count_bounds(strains()["tetraselmis"], 1.1e6), Verdict.UNUSUAL),  # of 6.5e5
        (6.5e5, bounds_for.count_bounds(strains()["tetraselmis"], 1.1e6), Verdict.USUAL),
        (3.0, plausible.TANK_L, Verdict.UNUSUAL),
        (90.0, plausible.KEEPS_DAYS, Verdict.UNUSUAL),
        (140.0, plausible.KEEPS_DAYS, Verdict.IMPOSSIBLE),  # of 14
        (50.0, plausible.LABEL_DOSES, Verdict.IMPOSSIBLE),
        (5000.0, plausible.CHLORINE_MG_PER_L, Verdict.UNUSUAL),
        (0.04, plausible.FILL_SHARE.times(5.0, "L"), Verdict.UNUSUAL),
        (8.0, plausible.AIR_VVM.times(4.0, "L/min"), Verdict.UNUSUAL),  # of 0.8
        (0.08, plausible.AIR_VVM.times(4.0, "L/min"), Verdict.UNUSUAL),
        (1.4, plausible.PHOTOPERIOD_H, Verdict.UNUSUAL),  # of 14
        (5.5, bounds_for.rate_bounds(strains()["tetraselmis"]), Verdict.IMPOSSIBLE),  # of 0.55
        (0.055, bounds_for.rate_bounds(strains()["tetraselmis"]), Verdict.UNUSUAL),
        (1.3e7, bounds_for.ceiling_bounds(strains()["tetraselmis"]), Verdict.UNUSUAL),  # of 1.3e6
        (1.3e5, bounds_for.ceiling_bounds(strains()["tetraselmis"]), Verdict.UNUSUAL),
        (8800.0, plausible.NITRATE_UMOL_L, Verdict.UNUSUAL),  # of 880
        (math.nan, plausible.TANK_L, Verdict.IMPOSSIBLE),
        (math.inf, plausible.TANK_L, Verdict.IMPOSSIBLE),
    ],
)
def test_a_slip_is_seen(value: float, bounds: Bounds, verdict: Verdict) -> None:
    assert judge(value, bounds) is verdict
    assert (doubt(value, bounds) is None) == (verdict is Verdict.USUAL)


def test_cells_that_touch_leave_room_for_every_published_density() -> None:
    """Derived by hand: T. suecica of 300 um3 (FAO 471 Table 3.1, copy) packs to 0.64e12/300 = 2.1e9 cells/mL.

    The limit takes the cell smaller, so it lies above that, and far above any culture.
    """
    limit = bounds_for.packing_limit_per_ml(strains()["tetraselmis"].carbon_pg)
    assert 2.1e9 < limit < 3 * 2.1e9
    for strain in strains().values():
        assert bounds_for.packing_limit_per_ml(strain.carbon_pg) > 100 * strain.ceiling_per_ml


def test_the_least_dose_of_f2_is_what_a_saturated_bottle_needs() -> None:
    """By hand: 882.4 umol in a litre from a bottle of 20 mol/L are 0.0441 mL."""
    assert bounds_for.dose_bounds(media()["f/2"]).least == pytest.approx(0.0441, abs=5e-5)
    poor = own_medium("poor", 10.0, 1.0)
    assert bounds_for.dose_bounds(poor).least == plausible.DOSE.least
    assert bounds_for.dose_bounds(None) is plausible.DOSE


def test_the_warning_names_both_values_and_the_usual_range() -> None:
    told = doubt(20.0, bounds_for.dose_bounds(media()["f/2"]))
    assert told is not None
    assert told.code == "unusual-dose"
    for words in ("20 mL/L", "100 times", "0.2 mL/L", "0.1 to 1 mL/L", "slip?"):
        assert words in told.text


def test_less_than_usual_is_told_as_a_part() -> None:
    told = doubt(0.08, plausible.AIR_VVM.times(4.0, "L/min"))
    assert told is not None
    assert "1/10 of the usual flow, 0.8 L/min" in told.text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.0, "0"),
        (1.0, "1"),
        (9999.0, "9999"),
        (1e4, "1e4"),
        (1.1e7, "1.1e7"),
        (0.001, "0.001"),
        (1e-5, "1e-5"),
    ],
)
def test_numbers_are_spelled_as_at_the_bench(number: float, text: str) -> None:
    assert shown(number) == text
