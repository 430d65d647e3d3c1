"""Task sheets, labels and pictures: everything is on them, nothing that is typed becomes markup."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest
from made_papers import HARMFUL, rota_named, rota_of
from made_reader import Read, assert_harmless, shown

from greenrota.culture.sanitation import CAUTIONS
from greenrota.rota.ledger import Ledger, ledger
from greenrota.rota.rota import Rota
from greenrota.rota.standing import vessel_spans
from greenrota.views.camera import code_svg
from greenrota.views.day import day_text
from greenrota.views.label import NOT_FOOD, Cut, labels, labels_html, per_page
from greenrota.views.page import PAPERS, Paper
from greenrota.views.sheet import sheet_html
from greenrota.views.svg import Plot
from greenrota.views.svg_growth import growth_svg
from greenrota.views.svg_ledger import ledger_svg
from greenrota.views.svg_strip import strip_svg
from greenrota.views.tasklist import tasks_csv
from greenrota.views.track import Stretch, density_tracks, harvest_windows

SVG = "{http://www.w3.org/2000/svg}"
A4 = PAPERS["a4"]


def book_of(rota: Rota) -> Ledger:
    return ledger(rota.plan, rota.forecast.shelf.lots, rota.through)


@pytest.mark.parametrize("vessels", [1, 12])
def test_a_sheet_has_a_box_and_two_fields_for_every_task_and_each_caution_whole(vessels: int) -> None:
    rota = rota_of(vessels)
    read = Read(sheet_html(rota, rota.tasks, A4))
    classes = [attributes.get("class") for _, attributes in read.tags]
    assert classes.count("box") == classes.count("write") == classes.count("write remark") == len(rota.tasks)
    for key in {key for task in rota.tasks for key in task.cautions}:
        assert CAUTIONS[key].text in read.text
    assert all(day_text(task.on) in read.text for task in rota.tasks)


def test_cautions_stand_in_the_foot_of_the_table_which_browsers_repeat_on_every_page() -> None:
    rota = rota_of(12)
    page = sheet_html(rota, rota.tasks, A4)
    weeks = page.count("<section>")
    assert weeks == page.count("<tfoot>") == page.count("</tfoot>") > 1
    feet = [part.split("</tfoot>")[0] for part in page.split("<tfoot>")[1:]]
    assert all("Salt water and mains" in foot for foot in feet)


def test_every_row_has_its_day_and_an_overdue_task_says_since_when() -> None:
    rota = rota_of(1)
    late = replace(rota, overdue={rota.tasks[0].id: date(2027, 1, 31)})
    text = Read(sheet_html(late, late.tasks, A4)).text
    for on in {task.on for task in rota.tasks}:
        # once more where a week begins on it
        assert text.count(day_text(on)) >= sum(task.on == on for task in rota.tasks)
    assert text.count("due since 2027-01-31") == 1


def test_a_sheet_without_tasks_says_so() -> None:
    assert "No tasks through" in sheet_html(rota_of(1), (), A4)


def test_a_label_tells_all_that_is_asked_of_it() -> None:
    rota = rota_of(1)
    label = labels(rota, rota.as_of + timedelta(days=27))[0]
    (window,) = (c for c in rota.forecast.choices if c.batch.id == "v0/1")
    told = " ".join(label.lines)
    assert (label.title, label.code) == ("v0/1", "v0/1")
    for part in ("Tetraselmis", "from starter:bought", "started 2027-02-03", "26 psu"):
        assert part in told
    assert f"ripe from {window.ahead.ripe_on} to {window.ahead.over_on}" in told


def test_labels_for_bottles_too_and_all_of_them_no_food() -> None:
    rota = rota_of(2)
    told = labels(rota, rota.through)
    titles = [label.title for label in told]
    assert {"v0/1", "v1/1", "bought", "f2"} <= set(titles)
    assert any(title.startswith("back-up ") for title in titles)
    assert any(title.startswith("feed ") for title in titles)
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
    return [*drawn, ledger_svg(rota.plan, book_of(rota)), strip_svg(rota)]


@pytest.mark.parametrize("rota", [rota_of(1), rota_of(12), rota_named()], ids=["one", "twelve", "harmful"])
def test_every_picture_is_xml_with_title_and_description(rota: Rota) -> None:
    for drawn in pictures(rota):
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
    growth, feed = growth_svg(rota, "v0"), ledger_svg(rota.plan, book_of(rota))
    assert all(f">{word}</text>" in growth for word in ("million cells/mL", "density", "ceiling"))
    assert all(f">{word}</text>" in feed for word in ("mL", "on hand", "daily ration"))


def test_a_series_lies_where_the_scale_says() -> None:
    plot = Plot(10, 20, 100, 50, first=0, last=10, top=200)
    # derived by hand: the corners and the middle of a field 100 wide and 50 high
    assert [plot.at(point) for point in ((0, 0), (10, 200), (5, 100))] == [(10, 70), (110, 20), (60, 45)]
    assert plot.within([(-5, 0), (5, 100), (15, 200)]) == [(0, 50), (5, 100), (10, 150)]


def test_windows_are_those_of_the_rota() -> None:
    rota = rota_of(1)
    spans = vessel_spans(rota, "v0")
    first = next(choice for choice in rota.forecast.choices if choice.batch.id == "v0/1")
    assert first.ahead.ripe_on is not None and first.taken is not None
    if first.ahead.ripe_on <= first.taken:
        wanted = Stretch((first.ahead.ripe_on - rota.as_of).days, (first.taken - rota.as_of).days)
        assert wanted in harvest_windows(rota, spans)
    days = [day for track in density_tracks(rota, spans) for day, _ in track]
    assert days == sorted(days) and days[-1] == (rota.through - rota.as_of).days


def test_a_ledger_without_days_has_a_picture_that_says_so() -> None:
    assert "the plan ends before this day" in ledger_svg(rota_of(1).plan, Ledger((), 14))


def test_csv_holds_no_formula() -> None:
    table = list(csv.reader(io.StringIO(tasks_csv(rota_named().tasks, {}), newline="")))
    for cell in (cell for row in table for cell in row):
        # OWASP, "CSV injection": a cell must not begin with one of these
        assert (not cell.startswith(("=", "@", "\t", "\r")) and cell[:1] not in "+-") or cell == ""
    assert any("=cmd" in cell for row in table for cell in row)


def test_dates_of_a_sheet_come_in_order() -> None:
    rota = rota_of(1)
    text = Read(sheet_html(rota, rota.tasks, A4)).text
    places = [text.index(day_text(on)) for on in sorted({task.on for task in rota.tasks})]
    assert places == sorted(places)
