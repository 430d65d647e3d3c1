"""A snapshot for each format of the dose cards: what our own program printed, so a change is seen; no truth.

After a change: GREENROTA_SNAPSHOTS=write pytest tests/views/test_card_snapshots.py, and read the difference.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from made_papers import plan_of

from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import CyclePlan, Plan, Work
from greenrota.rota.schedule import schedule
from greenrota.views.card.card import Card, card_text
from greenrota.views.card.card_json import cards_json
from greenrota.views.card.card_page import cards_html
from greenrota.views.card.card_pdf import pages_data
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import vessel_card
from greenrota.views.paper.page import PAPERS

FOLDER = Path(__file__).parent / "snapshots"
EXAMPLES = Path(__file__).parents[2] / "examples"
# So that no search changes the snapshot: one cycle, and one vessel that gets all there is of a small starter.
PINNED = CyclePlan(inoculum=0.25, days=8, feed_day=5, renew_after=4)
# less a quarter: a little more than the vessel needs at least, so nothing is left to share out
STARTER_ML = {"metric": 200.0, "us": 250.0}


def metric_plan() -> Plan:
    """One vessel measured in mL and psu."""
    return plan_of(1)


def us_plan() -> Plan:
    """The invented pair in US units, its dose counted in drops."""
    text = (EXAMPLES / "us-pair.toml").read_text(encoding="utf-8")
    return read_plan(text.replace("0.75 mL/gal", "15 drops/gal"), "plan.toml")


PLANS: dict[str, Callable[[], Plan]] = {"metric": metric_plan, "us": us_plan}
FORMATS: dict[str, Callable[[Sequence[Card]], str]] = {
    "txt": lambda cards: "\n\n\n".join(card_text(card) for card in cards) + "\n",
    "html": lambda cards: cards_html(cards, PAPERS["a6"]),
    "json": lambda cards: cards_json(cards, date(2027, 2, 1)) + "\n",
    "pdf.json": lambda cards: (
        json.dumps(pages_data(cards, PAPERS["a6"]), ensure_ascii=False, indent=1) + "\n"
    ),
}


@cache
def cards_of(name: str) -> tuple[Card, Card]:
    """A bottle's card and a vessel's."""
    plan = PLANS[name]()
    starters = (replace(plan.starters[0], volume_ml=STARTER_ML[name]),)
    pinned = replace(plan, work=Work(), cycle=PINNED, vessels=plan.vessels[:1], starters=starters)
    rota = schedule(pinned)
    return nutrient_card(rota, next(iter(rota.plan.nutrients))), vessel_card(rota, next(iter(rota.benches)))


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("form", FORMATS)
def test_a_card_is_as_its_snapshot(name: str, form: str) -> None:
    made = FORMATS[form](cards_of(name))
    file = FOLDER / f"card-{name}.{form}"
    if os.environ.get("GREENROTA_SNAPSHOTS") == "write":
        FOLDER.mkdir(exist_ok=True)
        file.write_text(made, encoding="utf-8", newline="\n")
    assert made == file.read_text(encoding="utf-8")
