"""Doses and drops."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.dose import delivered_umol, dose_by_part_ml, dose_ml, drops, strength
from greenrota.culture.medium import media

VOLUMES_L = st.floats(0.05, 200.0)
DOSES = st.floats(0.01, 20.0)


@given(VOLUMES_L, DOSES, st.floats(0.0, 4.0))
def test_twice_the_volume_is_twice_the_dose(volume_l: float, label: float, share: float) -> None:
    assert dose_ml(2.0 * volume_l, label, share) == pytest.approx(
        2.0 * dose_ml(volume_l, label, share), rel=1e-12
    )


@given(DOSES, DOSES)
def test_strength_undoes_the_dose(label: float, share: float) -> None:
    assert strength(dose_ml(1.0, label, share), label) == pytest.approx(share, rel=1e-12)


@given(VOLUMES_L, DOSES, st.floats(0.1, 3.0))
def test_a_label_dose_brings_full_strength(volume_l: float, label: float, share: float) -> None:
    f2 = media()["f/2"]
    nitrogen, phosphorus, silicon = delivered_umol(f2, dose_ml(volume_l, label, share), label)
    assert nitrogen / volume_l == pytest.approx(share * f2.nitrogen_umol_l, rel=1e-12)
    assert phosphorus / volume_l == pytest.approx(share * f2.phosphorus_umol_l, rel=1e-12)
    assert silicon / volume_l == pytest.approx(share * f2.silicon_umol_l, rel=1e-12)


def test_stocks_of_f2_by_the_mass_law() -> None:
    # derived by hand: 1 mL of 75 g/L sodium nitrate in a litre is 75 mg / 84.995 = 0.8824 mmol
    assert delivered_umol(media()["f/2"], 1.0, 1.0)[0] == pytest.approx(75e3 / 84.995, rel=1e-9)


def test_both_parts_of_a_concentrate_get_the_whole_dose() -> None:
    # common practice, no source: A and B are dosed alike
    assert dose_by_part_ml(["A", "B"], 3.8, 0.25, 0.5) == {"A": 0.475, "B": 0.475}
    with pytest.raises(ValueError, match="twice"):
        dose_by_part_ml(["A", "A"], 3.8, 0.25)


def test_drops_of_the_official_dropper() -> None:
    # published: 1 mL in 20 drops, plus or minus 2 (USP); volume error up to 15 % (USP 32 <1101>)
    hint = drops(1.0)
    assert (hint.count, hint.fewest, hint.most) == (20, 18, 22)
    assert (hint.low_ml, hint.high_ml) == (pytest.approx(0.85, rel=1e-12), pytest.approx(1.15, rel=1e-12))


@given(st.floats(0.0, 50.0))
def test_drops_stay_in_their_band(ml: float) -> None:
    hint = drops(ml)
    assert hint.ml == ml
    assert hint.fewest <= hint.count <= hint.most
    assert hint.low_ml <= hint.count / 20.0 <= hint.high_ml
    assert abs(hint.count / 20.0 - ml) <= 0.025 + 1e-12  # half a drop, by rounding


def test_what_cannot_be_dosed_is_refused() -> None:
    for refused in (
        lambda: dose_ml(-1.0, 0.2),
        lambda: dose_ml(1.0, -0.2),
        lambda: dose_ml(1.0, 0.2, float("nan")),
        lambda: strength(-0.1, 0.2),
        lambda: strength(0.1, 0.0),
        lambda: drops(-0.1),
    ):
        with pytest.raises(ValueError, match="zero"):
            refused()
