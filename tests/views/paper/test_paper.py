"""Task sheets, labels and pictures: everything is on them, nothing that is typed becomes markup."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest
from made_papers import HARMFUL, rota_named, rota_of
from made_reader import Read, assert_harmless, shown

from greenrota.rota.answers.contents import vessel_intervals
from greenrota.rota.feed.daily import DailyRations, daily_rations
from greenrota.rota.plan import Away
from greenrota.rota.rota import Rota
from greenrota.views.feed.bottles import BottlesReport
from greenrota.views.feed.svg_bottles import bottles_svg
from greenrota.views.labels.label import NOT_FOOD, labels
from greenrota.views.labels.label_page import Cut, labels_html, per_page
from greenrota.views.paper.camera import code_svg
from greenrota.views.paper.ink import SHADE
from greenrota.views.paper.markup import Markup
from greenrota.views.paper.page import PAPERS, Paper
from greenrota.views.paper.svg import Plot
from greenrota.views.paper.track import Stretch, density_tracks, harvest_windows
from greenrota.views.sheet.sheet import sheet_html
from greenrota.views.tasks.svg_strip import strip_svg
from greenrota.views.tasks.tasklist import tasks_csv
from greenrota.views.text.day import short_day
from greenrota.views.vessel.svg_growth import growth_svg

SVG = "{http://www.w3.org/2000/svg}"
A4 = PAPERS["a4"]


def book_of(rota: Rota) -> DailyRations:
    return daily_rations(rota.plan, rota.simulation.state.harvests, rota.through)


def test_a_label_tells_all_that_is_asked_of_it() -> None:
    rota = rota_of(1)
    label = labels(rota, rota.as_of + timedelta(days=27))[0]
    (window,) = (c for c in rota.simulation.choices if c.batch.id == "v0/1")
    told = " ".join(label.lines)
    assert (label.title, label.code, label.on_vessel) == ("v0", "v0/1", True)
    for part in ("Tetraselmis", "batch 1 from starter:bought", "started Wed 3 Feb 2027", "26 psu"):
        assert part in told
    ripe_on, over_on = window.projection.ripe_on, window.projection.over_on
    assert ripe_on is not None and over_on is not None
    assert f"ripe {short_day(ripe_on)} to {short_day(over_on)}" in told


def test_labels_for_bottles_too_and_all_of_them_no_food() -> None:
    rota = rota_of(2)
    told = labels(rota, rota.through)
    titles = [label.title for label in told]
    assert {"v0", "v1", "bought", "f2"} <= set(titles)
    assert any(title.startswith("back-up ") for title in titles)
    assert any(title.startswith("harvest ") for title in titles)
    page = labels_html(told, Cut(62, 38), A4, [None] * len(told))
    assert Read(page).text.count(NOT_FOOD) == len(told)


@pytest.mark.parametrize(
    ("cut", "paper", "holds"),
    [  # derived by hand: (210 - 24) / 62 = 3, (297 - 24) / 38 = 7.18; (215.9 - 24) / 50 = 3.8, (279.4 - 24) / 25 = 10.2
        (Cut(62, 38), A4, (3, 7)),
        (Cut(50, 25), PAPERS["letter"], (3, 10)),
        (Cut(187, 38), A4, (0, 7)),
    ],
)
def test_so_many_labels_go_on_a_page(cut: Cut, paper: Paper, holds: tuple[int, int]) -> None:
    assert per_page(cut, paper) == holds


def test_labels_fill_page_after_page() -> None:
    rota = rota_of(12)
    told = labels(rota, rota.through)
    page = labels_html(told, Cut(62, 38), A4, [None] * len(told))
    assert page.count('class="sheet"') == -(-len(told) // 21)
    with pytest.raises(ValueError, match="does not fit"):
        labels_html(told, Cut(187, 38), A4, [None] * len(told))


@pytest.mark.parametrize("name", ["v0", "north", "shelf, left", "a jar with a long name", "W" * 12])
@pytest.mark.parametrize("code", [None, Markup("<svg></svg>")])
def test_a_vessel_is_read_from_across_the_room(name: str, code: Markup | None) -> None:
    """On 60 x 40 mm the name has 18 pt at least, and what it says has type that is read in the hand."""
    rota = rota_of(1)
    label = labels(rota, rota.as_of + timedelta(days=27))[0]._replace(title=name)
    read = Read(labels_html([label], Cut(60, 40), A4, [code]))
    (box,) = (attributes for _, attributes in read.tags if attributes.get("class") == "label")
    (title,) = (attributes for tag, attributes in read.tags if tag == "h2")
    title_pt, pt = (float(re.findall(r"[\d.]+", each["style"] or "")[0]) for each in (title, box))
    assert title_pt >= 18.0
    assert pt >= (8.0 if len(name) < 12 else 5.0)


def test_the_code_is_a_picture_that_scales() -> None:
    node = ElementTree.fromstring(code_svg("north/1"))
    assert node.get("viewBox") and node.get("width") is None
    assert code_svg("north/1") == code_svg("north/1") != code_svg("north/2")


def test_names_that_try_to_do_harm_stay_text() -> None:
    rota = rota_named()
    told = labels(rota, rota.through)
    pages = [
        sheet_html(rota, rota.tasks, A4),
        labels_html(told, Cut(62, 38), A4, [code_svg(label.code) for label in told]),
        strip_svg(rota),
    ]
    for page in pages:
        assert_harmless(page)
    for page in (pages[0], pages[2]):
        assert all(shown(name) in Read(page).text for name in HARMFUL)


def pictures(rota: Rota) -> list[str]:
    drawn = [growth_svg(rota, name) for name in rota.benches]
    return [*drawn, bottles_svg(BottlesReport.of(rota.plan, book_of(rota))), strip_svg(rota)]


@pytest.mark.parametrize(
    "made", [lambda: rota_of(1), lambda: rota_of(12), rota_named], ids=["one", "twelve", "harmful"]
)
def test_every_picture_is_xml_with_title_and_description(made: Callable[[], Rota]) -> None:
    for drawn in pictures(made()):
        root = ElementTree.fromstring(drawn.encode())
        assert root.tag == f"{SVG}svg" and root.get("role") == "img"
        assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
        assert all(len(child.text or "") > 10 for child in list(root)[:2])
        assert not {node.tag.removeprefix(SVG) for node in root.iter()} & {
            "script",
            "image",
            "a",
            "use",
            "style",
        }


def test_the_strip_shades_days_away_and_nothing_else() -> None:
    """By hand: a shaded field for each stretch away, as many days wide as it has; its legend only where one is."""
    rota = rota_of(2)
    away = (Away(date(2027, 2, 8), date(2027, 2, 8)), Away(date(2027, 2, 13), date(2027, 2, 16)))
    gone = replace(rota, context=rota.context._replace(plan=replace(rota.plan, away=away)))
    for each, days in ((rota, []), (gone, [1, 4])):
        drawn = strip_svg(each)
        shaded = [
            float(node.get("width") or 0)
            for node in ElementTree.fromstring(drawn.encode()).iter(f"{SVG}rect")
            if node.get("fill") == SHADE
        ]
        assert [round(width / shaded[0]) for width in shaded] == days
        assert ("shaded: days away" in drawn) is bool(days)


def test_everything_drawn_lies_inside_the_picture() -> None:
    for drawn in pictures(rota_of(12)):
        root = ElementTree.fromstring(drawn.encode())
        _, _, width, height = map(float, (root.get("viewBox") or "").split())
        for node in root.iter(f"{SVG}polyline"):
            for point in (node.get("points") or "").split():
                x, y = map(float, point.split(","))
                assert 0 <= x <= width and 0 <= y <= height
        for node in root.iter(f"{SVG}text"):
            assert 0 <= float(node.get("x") or -1) <= width and 0 <= float(node.get("y") or -1) <= height


def test_axes_have_units_and_lines_their_names() -> None:
    rota = rota_of(1)
    growth, feed = growth_svg(rota, "v0"), bottles_svg(BottlesReport.of(rota.plan, book_of(rota)))
    assert all(f">{word}</text>" in growth for word in ("million cells/mL", "density", "ceiling"))
    assert all(f">{word}</text>" in feed for word in ("mL", "on hand", "daily ration"))


def test_a_series_lies_where_the_scale_says() -> None:
    plot = Plot(10, 20, 100, 50, first=0, last=10, top=200)
    # derived by hand: the corners and the middle of a field 100 wide and 50 high
    assert [plot.at(point) for point in ((0, 0), (10, 200), (5, 100))] == [(10, 70), (110, 20), (60, 45)]
    assert plot.within([(-5, 0), (5, 100), (15, 200)]) == [(0, 50), (5, 100), (10, 150)]


def test_windows_are_those_of_the_rota() -> None:
    rota = rota_of(1)
    intervals = vessel_intervals(rota, "v0")
    first = next(choice for choice in rota.simulation.choices if choice.batch.id == "v0/1")
    assert first.projection.ripe_on is not None and first.taken is not None
    if first.projection.ripe_on <= first.taken:
        wanted = Stretch((first.projection.ripe_on - rota.as_of).days, (first.taken - rota.as_of).days)
        assert wanted in harvest_windows(rota, intervals)
    days = [day for track in density_tracks(rota, intervals) for day, _ in track]
    assert days == sorted(days) and days[-1] == (rota.through - rota.as_of).days


def test_a_ledger_without_days_has_a_picture_that_says_so() -> None:
    assert "the plan ends before this day" in bottles_svg(
        BottlesReport.of(rota_of(1).plan, DailyRations((), 14))
    )


def test_csv_holds_no_formula() -> None:
    table = list(csv.reader(io.StringIO(tasks_csv(rota_named().tasks, {}), newline="")))
    for cell in (cell for row in table for cell in row):
        # OWASP, "CSV injection": a cell must not begin with one of these
        assert (not cell.startswith(("=", "@", "\t", "\r")) and cell[:1] not in "+-") or cell == ""
    assert any("=cmd" in cell for row in table for cell in row)
