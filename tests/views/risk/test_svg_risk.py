"""The picture of short days: bars as high as the seasons they stand for. Truths derived by hand."""

from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from greenrota.risk.outcome import Difference, Estimate, Outcome
from greenrota.views.paper.ink import INK, PAPER, SHADE
from greenrota.views.risk.risk import Compared, PlanRisk, RiskReport, bin_of_days, bins_of, histogram
from greenrota.views.risk.svg_risk import risk_svg

NONE = Estimate(0.0, 0.0, 0.0)
SVG = "{http://www.w3.org/2000/svg}"


def told(name: str, *counts: int) -> PlanRisk:
    seasons = sum(counts)
    short = 1.0 - counts[0] / seasons
    days = sum(day * count for day, count in enumerate(counts)) / seasons
    found = Outcome(
        seasons=seasons,
        days=90,
        feeding_days=80,
        lost=NONE,
        lost_by_strain={},
        short=Estimate(short, short, short),
        short_days=Estimate(days, days, days),
        short_days_p90=Estimate(1.0, 1.0, 1.0),
        losses={},
        lost_by={},
        histogram=counts,
    )
    return PlanRisk(name, found, 2, 1, 0, 0.5)


def against(other: PlanRisk) -> Compared:
    return Compared(other, Difference(NONE, NONE, NONE))


def bars(drawn: str, fill: str) -> list[float]:
    """Heights of the edged fields of a fill, without the one in the key."""
    fields = ElementTree.fromstring(drawn.encode()).iter(f"{SVG}rect")
    return [float(f.get("height", "0")) for f in fields if f.get("stroke") == INK and f.get("fill") == fill][
        :-1
    ]


def test_bars_are_as_high_as_their_share_of_the_seasons() -> None:
    """80, 15 and 5 % under an axis that ends at 80 % and is 240 px high; to a tenth of a px, as all is drawn."""
    assert bars(risk_svg(RiskReport(told("shelf", 80, 15, 5))), SHADE) == pytest.approx(
        [240.0, 45.0, 15.0], abs=0.11
    )


def test_a_compared_plan_has_the_same_bars_beside_in_white() -> None:
    """The other plan reaches further, so both have its four bins."""
    drawn = risk_svg(RiskReport(told("shelf", 80, 20), against(told("calmer", 4, 2, 1, 1))))
    assert bars(drawn, SHADE) == pytest.approx([240.0, 60.0, 0.0, 0.0], abs=0.11)
    assert bars(drawn, PAPER) == pytest.approx([150.0, 75.0, 37.5, 37.5], abs=0.11)


def test_the_picture_says_in_words_what_it_shows() -> None:
    root = ElementTree.fromstring(
        risk_svg(RiskReport(told("a <shelf>", 75, 25), against(told("b & c", 9, 1)))).encode()
    )
    assert root.findtext(f"{SVG}title") == "Seasons by days short of feed"
    said = root.findtext(f"{SVG}desc") or ""
    assert "a <shelf>: of 100 seasons, 25.0 %" in said and "b & c: of 10 seasons, 10.0 %" in said


@pytest.mark.parametrize("numbers", [1, 2, 12, 13, 25, 91, 400])
def test_every_number_of_short_days_has_one_bar(numbers: int) -> None:
    bins = bins_of(numbers)
    assert bins[0] == (0, 0) and bins[-1][1] == numbers - 1 and len(bins) <= 12
    assert all(before[1] + 1 == after[0] for before, after in pairwise(bins))


def test_screen_and_paper_have_the_same_bars() -> None:
    one = told("shelf", *(50 - n for n in range(30)))
    names = [line.split()[0] for line in histogram(one.outcome.histogram, ascii_only=True).splitlines()[1:]]
    texts = [
        text.text for text in ElementTree.fromstring(risk_svg(RiskReport(one)).encode()).iter(f"{SVG}text")
    ]
    assert names == [bin_of_days(days) for days in bins_of(30)]
    assert [text for text in texts if text in names and text != "0"] == names[1:]


def test_a_long_name_is_squeezed_into_the_picture() -> None:
    drawn = risk_svg(RiskReport(replace(told("shelf", 1, 1), name="shelf " * 40)))
    widths = [
        float(t.get("textLength", "0")) for t in ElementTree.fromstring(drawn.encode()).iter(f"{SVG}text")
    ]
    assert max(widths) == 620.0
