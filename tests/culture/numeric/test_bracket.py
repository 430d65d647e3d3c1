"""The root search on functions whose root is known."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.numeric.bracket import rising_root


@given(root=st.floats(-1000.0, 1000.0), below=st.floats(0.0, 50.0), above=st.floats(0.0, 50.0))
def test_finds_the_root_of_a_cubic(root, below, above):
    found = rising_root(lambda x: (x - root) ** 3, root - below, root + above, 1e-9)
    assert found == pytest.approx(root, rel=0, abs=2e-9)


def test_a_width_below_float_spacing_ends():
    assert rising_root(lambda x: x - 1e6, 0.0, 4e6, 0.0) == pytest.approx(1e6, rel=1e-15)


def test_no_crossing_is_refused():
    with pytest.raises(ValueError, match=r"2\.0 and 3\.0"):
        rising_root(lambda x: x, 2.0, 3.0, 1e-9)
