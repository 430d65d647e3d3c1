"""Doses and drops."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.bench.dose import dose_ml, drops

VOLUMES_L = st.floats(0.05, 200.0)
DOSES = st.floats(0.01, 20.0)


@given(VOLUMES_L, DOSES, st.floats(0.0, 4.0))
def test_twice_the_volume_is_twice_the_dose(volume_l: float, label: float, share: float) -> None:
    assert dose_ml(2.0 * volume_l, label, share) == pytest.approx(
        2.0 * dose_ml(volume_l, label, share), rel=1e-12
    )


def test_drops_of_the_official_dropper() -> None:
    # published: 1 mL in 20 drops (USP); volume error up to 15 % (USP 32 <1101>)
    hint = drops(1.0)
    assert hint.number == 20
    assert (hint.low_ml, hint.high_ml) == (pytest.approx(0.85, rel=1e-12), pytest.approx(1.15, rel=1e-12))


@given(st.floats(0.0, 50.0))
def test_drops_stay_in_their_band(ml: float) -> None:
    hint = drops(ml)
    assert hint.low_ml <= hint.number / 20.0 <= hint.high_ml
    assert abs(hint.number / 20.0 - ml) <= 0.025 + 1e-12  # half a drop, by rounding


def test_what_cannot_be_dosed_is_refused() -> None:
    for refused in (
        lambda: dose_ml(-1.0, 0.2),
        lambda: dose_ml(1.0, -0.2),
        lambda: dose_ml(1.0, 0.2, float("nan")),
        lambda: drops(-0.1),
    ):
        with pytest.raises(ValueError, match="zero"):
            refused()
