"""The reference printed on a hydrometer."""

from __future__ import annotations

import pytest

from greenrota.culture.water.seawater import Hydrometer
from greenrota.planfile.text.hydrometer import read_hydrometer
from greenrota.planfile.text.units import QuantityError


@pytest.mark.parametrize(
    ("text", "sample_c", "reference_c"),
    [  # by hand; 60 degF is 15 5/9 degC
        ("25C/25C", 25.0, 25.0),
        ("20C/4C", 20.0, 4.0),
        ("77F/77F", 25.0, 25.0),
        ("60F/60F", 140 / 9, 140 / 9),
        ("17.5C/17.5C", 17.5, 17.5),
    ],
)
def test_reads(text: str, sample_c: float, reference_c: float) -> None:
    assert read_hydrometer(text) == Hydrometer(sample_c, reference_c)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("25/25", "bad-hydrometer"),
        ("25C", "bad-hydrometer"),
        ("25 C/25 C", "bad-hydrometer"),
        ("-1C/4C", "bad-hydrometer"),
        ("25C/25C\n", "bad-hydrometer"),
        ("20F/60F", "out-of-range"),
        ("25C/41C", "out-of-range"),
    ],
)
def test_refuses(text: str, code: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_hydrometer(text)
    assert caught.value.code == code
    assert "printed on the hydrometer" in caught.value.hint
