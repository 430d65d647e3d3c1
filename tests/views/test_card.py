"""Dose cards: amounts agree with the tasks and with sums by hand, and what is typed stays text on every way out."""

from __future__ import annotations

import re
from dataclasses import replace
from types import MappingProxyType

import pytest
from made_papers import HARMFUL, plan_of, rota_named, rota_of
from made_reader import Read, assert_harmless, shown

from greenrota.rota.plan import CyclePlan, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views import amount
from greenrota.views.card import card_text, nutrient_card, vessel_card
from greenrota.views.card_page import LARGEST_PT, SMALLEST_PT, cards_html, type_pt
from greenrota.views.page import PAPERS
from greenrota.views.typeset import PDF_MARK, cards_pdf


def pinned() -> Rota:
    """One vessel of 4 L: a fifth stays, label dose 0.20 mL/L, second dose half the label's."""
    return schedule(
        replace(plan_of(1), work=Work(), cycle=CyclePlan(inoculum=0.20, days=8, feed_day=5, feed_dose=0.5))
    )


def test_doses_by_hand() -> None:
    (row,) = nutrient_card(pinned(), "f2").rows
    # derived by hand: 4 L x 0.20; (1 - 0.20) x 4 L x 0.20; 4 L x 0.20 x 0.5
    assert [cell.main for cell in row[1]] == ["0.80 mL", "0.64 mL", "0.40 mL"]
    assert row[1][0].hint == "about 16 drops"  # 0.8 mL x 20 drops


def test_the_card_says_what_the_tasks_say() -> None:
    rota = pinned()
    card = dict(vessel_card(rota, "v0").rows)
    doses = dict(zip(("start", "reseed", "feed"), nutrient_card(rota, "f2").rows[0][1], strict=True))
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
    rota = rota_of(1)
    bottle, vessel = card_text(nutrient_card(rota, "f2")), card_text(vessel_card(rota, "v0"))
    assert "54.7 mg/L nitrate" in bottle  # derived by hand: 882.4 umol/L x 62.005 g/mol (f/2, Guillard 1975)
    assert "opened    Wed 2027-01-20" in bottle
    assert re.search(r"runs dry  [A-Z][a-z]{2} 2027-02-\d\d", bottle)  # 2 mL last no month
    assert "poison centre" in bottle
    assert "on 08:00, off 22:00 (14 h)" in vessel  # derived by hand
    assert "RCD" in vessel and "check valve" in vessel


def test_a_second_part_has_its_own_card_with_the_same_doses() -> None:
    plan = plan_of(1)
    first = replace(plan.nutrients["f2"], other_part="part B")
    second = replace(plan.nutrients["f2"], name="part B", bottle_ml=None, opened=None)
    rota = schedule(replace(plan, nutrients=MappingProxyType({"f2": first, "part B": second})))
    assert nutrient_card(rota, "f2").rows == nutrient_card(rota, "part B").rows
    assert "as much part B" in card_text(vessel_card(rota, "v0"))
    assert "not known" in card_text(nutrient_card(rota, "part B"))


def test_a_nutrient_nobody_takes_says_so() -> None:
    plan = plan_of(1)
    idle = replace(plan.nutrients["f2"], name="idle")
    rota = schedule(replace(plan, nutrients=MappingProxyType({**plan.nutrients, "idle": idle})))
    card = nutrient_card(rota, "idle")
    for told in (card_text(card), cards_html([card], PAPERS["a6"])):
        assert "no vessel of the plan takes it" in told


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
