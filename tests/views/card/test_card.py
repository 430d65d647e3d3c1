"""Dose cards: amounts agree with the tasks and with sums by hand, and what is typed stays text on every way out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from made_papers import HARMFUL, plan_of, rota_named, rota_of
from made_reader import Read, assert_harmless, shown

from greenrota.frozen import FrozenDict
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import CyclePlan, Plan, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.card.card import Card, Fact, card_text
from greenrota.views.card.card_json import cards_json
from greenrota.views.card.card_page import LARGEST_PT, SMALLEST_PT, cards_html, type_pt
from greenrota.views.card.card_pdf import cards_pdf, pages_data
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import vessel_card
from greenrota.views.paper.page import PAPERS
from greenrota.views.paper.typeset import PDF_MARK
from greenrota.views.text import amount

EXAMPLES = Path(__file__).parents[3] / "examples"


def pinned() -> Rota:
    """One vessel of 4 L: a fifth stays, label dose 0.20 mL/L, second dose half the label's."""
    return schedule(
        replace(plan_of(1), work=Work(), cycle=CyclePlan(inoculum=0.20, days=8, feed_day=5, feed_dose=0.5))
    )


def test_doses_by_hand() -> None:
    (row,) = nutrient_card(pinned(), "f2").rows
    # derived by hand: 4 L x 0.20; (1 - 0.20) x 4 L x 0.20; 4 L x 0.20 x 0.5
    assert [cell.main for cell in row.cells] == ["0.80 mL", "0.64 mL", "0.40 mL"]
    assert row.cells[0].hint == "about 16 drops"  # 0.8 mL x 20 drops


def test_the_card_says_what_the_tasks_say() -> None:
    rota = pinned()
    card = {row.name: row.cells for row in vessel_card(rota, "v0").rows}
    doses = dict(zip(("start", "reseed", "feed"), nutrient_card(rota, "f2").rows[0].cells, strict=True))
    seen = set()
    for task in rota.tasks:
        if task.kind in doses:
            seen.add(task.kind)
            assert amount.volume(task.amounts.nutrient_ml["f2"]) == doses[task.kind].main
        if task.kind == "reseed":
            culture, seawater, salt, _ = card["re-seed"]
            assert amount.volume(task.amounts.keep_ml or 0.0) == culture.main
            assert amount.volume(task.amounts.seawater_ml or 0.0) == seawater.main
            assert amount.mass(task.amounts.salt_g or 0.0) == salt.main
    assert seen == {"start", "reseed", "feed"}


def test_a_card_tells_bottle_light_and_cautions() -> None:
    rota = pinned()
    bottle, vessel = card_text(nutrient_card(rota, "f2")), card_text(vessel_card(rota, "v0"))
    assert "54.7 mg/L nitrate" in bottle  # derived by hand: 882.4 umol/L x 62.005 g/mol (f/2, Guillard 1975)
    assert "opened    Wed 2027-01-20" in bottle
    assert re.search(
        r"runs dry  [A-Z][a-z]{2} 2027-02-\d\d", bottle
    )  # 0.80 mL, 0.40 and 0.64 every 8 days: 2 mL last no month
    assert "poison centre" in bottle
    assert "on 08:00, off 22:00 (14 h)" in vessel  # derived by hand
    assert "RCD" in vessel and "check valve" in vessel


def test_a_second_part_has_its_own_card_with_the_same_doses() -> None:
    plan = plan_of(1)
    first = replace(plan.nutrients["f2"], other_part="part B")
    second = replace(plan.nutrients["f2"], name="part B", bottle_ml=None, opened=None)
    rota = schedule(replace(plan, nutrients=FrozenDict({"f2": first, "part B": second})))
    assert nutrient_card(rota, "f2").rows == nutrient_card(rota, "part B").rows
    assert "as much part B" in card_text(vessel_card(rota, "v0"))
    assert "not known" in card_text(nutrient_card(rota, "part B"))


def test_a_nutrient_nobody_takes_says_so() -> None:
    plan = plan_of(1)
    idle = replace(plan.nutrients["f2"], name="idle")
    rota = schedule(replace(plan, nutrients=FrozenDict({**plan.nutrients, "idle": idle})))
    card = nutrient_card(rota, "idle")
    for told in (card_text(card), cards_html([card], PAPERS["a6"])):
        assert "no vessel of the plan takes it" in told


def us_plan(dose: str = "0.75 mL/gal") -> Plan:
    """The invented pair measured in US units, with another label dose."""
    text = (EXAMPLES / "us-pair.toml").read_text(encoding="utf-8")
    assert text.count('"0.75 mL/gal"') == 1
    return read_plan(text.replace("0.75 mL/gal", dose), "plan.toml")


def test_a_us_card_says_what_the_plan_says() -> None:
    """By hand: what stands in examples/us-pair.toml; 1 gal at 0.75 mL/gal; three quarters of a gallon are 3 qt."""
    rota = schedule(us_plan())
    bottle, vessel = card_text(nutrient_card(rota, "green mix")), card_text(vessel_card(rota, "left"))
    assert "0.75 mL/gal of new seawater" in bottle and "mL/L" not in bottle
    assert "1.019 SG on a 77F/77F hydrometer" in vessel
    assert "73 degF (22.8 degC)" in vessel  # (73 - 32) / 1.8
    assert "filled to 1.00 US gal (3.79 L)" in vessel and "take 2.99 US qt (2.83 L)" in vessel
    assert nutrient_card(rota, "green mix").rows[0].cells[0].main == "0.75 mL"


@pytest.mark.parametrize(
    ("dose", "main", "hint"),
    [  # published: 20 drops to the mL (USP official dropper), 15 % error of a drop (USP 32 <1101>); sums by hand
        ("20 drops/gal", "20 drops", "1.00 mL, may be 0.85 to 1.15 mL"),
        ("2 drops/gal", "2 drops", "0.10 mL, may be 0.08 to 0.11 mL"),
        ("6 mL/gal", "6.00 mL", ""),  # 120 drops, 90 at a re-seed: nobody counts them
        ("120 drops/gal", "6.00 mL", ""),
        ("1 mL/gal", "1.00 mL", "about 20 drops"),
    ],
)
def test_drops_are_the_measure_where_the_label_counts_drops(dose: str, main: str, hint: str) -> None:
    card = nutrient_card(schedule(us_plan(dose)), "green mix")
    assert (card.rows[0].cells[0].main, card.rows[0].cells[0].hint) == (main, hint)
    assert dose in card.lead
    assert ("15% more or less" in card_text(card)) is ("drop" in main + hint)


def test_equal_plans_may_be_written_in_other_measures() -> None:
    """By hand: 20 drops are 1 mL. What was written is kept beside the plan and makes no difference to it."""
    assert us_plan("15 drops/gal") == us_plan("0.75 mL/gal")


def told_by(card: Card) -> list[str]:
    """Every text of a card's record, whatever view it goes into: any string field, at any depth."""
    found = [card.title, card.lead, card.foot, *(caution.text for caution in card.cautions)]
    found += [text for row in card.rows for cell in row.cells for text in (cell.main, cell.hint)]
    found += [row.name for row in card.rows] + (list(card.heads[1:]) if card.rows else [])
    return [text for text in found + [t for f in card.facts for t in (f.name, f.text)] if text]


WAYS_OUT: dict[str, Callable[[Card], str]] = {
    "text": card_text,
    "page": lambda card: Read(cards_html([card], PAPERS["a6"])).text,
    "PDF": lambda card: "\n".join(strings(pages_data([card], PAPERS["a6"]))),
    "JSON": lambda card: "\n".join(strings(json.loads(cards_json([card], date(2027, 2, 1))))),
}


def strings(told: object) -> list[str]:
    if isinstance(told, dict):
        return [text for each in told.values() for text in strings(each)]
    if isinstance(told, list):
        return [text for each in told for text in strings(each)]
    return [told] if isinstance(told, str) else []


@pytest.mark.parametrize("way", WAYS_OUT)
def test_every_way_out_tells_all_of_the_record(way: str) -> None:
    """A line added to the record comes out of all of them, and none tells what the others do not."""
    for rota in (pinned(), schedule(us_plan())):
        bottle = next(iter(rota.plan.nutrients))
        for card in (nutrient_card(rota, bottle), vessel_card(rota, next(iter(rota.benches)))):
            more = card._replace(facts=(*card.facts, Fact("added", "one line more", {"added_ml": 1.5})))
            told = WAYS_OUT[way](more)
            for text in told_by(more):
                assert text in told, text
            assert "one line more" in told
    assert json.loads(cards_json([more], date(2027, 2, 1)))["vessels"][0]["added_ml"] == 1.5


@pytest.mark.parametrize("size", PAPERS)
def test_names_that_try_to_do_harm_stay_text(size: str) -> None:
    rota = rota_named()
    page = cards_html(
        [nutrient_card(rota, HARMFUL[0]), *(vessel_card(rota, name) for name in rota.benches)], PAPERS[size]
    )
    assert_harmless(page)
    text = Read(page).text
    assert all(shown(name) in text for name in HARMFUL)


def test_type_is_the_largest_that_fits_and_never_unreadable() -> None:
    few, many = (nutrient_card(rota_of(n), "f2") for n in (1, 12))
    for paper in PAPERS.values():
        assert SMALLEST_PT <= type_pt(many, paper) < type_pt(few, paper) <= LARGEST_PT
    assert type_pt(few, PAPERS["a6"]) < type_pt(few, PAPERS["a5"]) < type_pt(few, PAPERS["a4"])


def pages_of(pdf: bytes) -> int:
    """Pages by the page tree of the file (ISO 32000-1, 7.7.3): the largest /Count is that of its root."""
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))


@pytest.mark.parametrize("vessels", [1, 12])
@pytest.mark.parametrize("size", PAPERS)
def test_a_pdf_has_a_page_a_card_in_the_size_asked_for(size: str, vessels: int) -> None:
    rota, paper = rota_of(vessels), PAPERS[size]
    cards = [nutrient_card(rota, "f2")] + ([vessel_card(rota, "v0")] if vessels == 1 else [])
    pdf = cards_pdf(cards, paper)
    assert pages_of(pdf) == len(cards)
    boxes = {tuple(map(float, box.split())) for box in re.findall(rb"/MediaBox\s*\[([^\]]+)\]", pdf)}
    ((_, _, width, height),) = boxes
    assert (width, height) == pytest.approx(
        (paper.width_mm / 25.4 * 72, paper.height_mm / 25.4 * 72), abs=0.01
    )
    assert PDF_MARK.encode() in pdf


def test_equal_cards_give_equal_bytes() -> None:
    cards = [nutrient_card(rota_of(1), "f2")]
    assert cards_pdf(cards, PAPERS["a4"]) == cards_pdf(cards, PAPERS["a4"])


def test_a_pdf_takes_harmful_names_as_text() -> None:
    rota = rota_named()
    cards = [nutrient_card(rota, HARMFUL[0]), *(vessel_card(rota, name) for name in HARMFUL[1:4])]
    assert pages_of(cards_pdf(cards, PAPERS["a5"])) == len(cards)


def test_a_short_name_is_not_broken_in_its_column_and_a_long_one_may_be() -> None:
    page = cards_html([nutrient_card(rota_of(1), "f2")], PAPERS["4x6"])
    assert '<th scope="row" class="whole"><bdi>v0</bdi></th>' in page
    long = cards_html([nutrient_card(rota_named(("W" * 40,)), "W" * 40)], PAPERS["4x6"])
    assert f'<th scope="row"><bdi>{"W" * 40}</bdi></th>' in long
