"""What is printed can be measured, fits, and never drifts: whole seasons of random plans, done by the printed figures.

Truth: by hand. The pages are read as a person reads them, and what they say is poured is poured in a ledger of jars and
bottles of its own, which knows nothing of the program's. Exact volumes stand in the tasks' `amounts`.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import example_plan, example_vessel, lively_plans, plans

from greenrota.culture.data.medium import media
from greenrota.rota.answers.away import departures
from greenrota.rota.plan import CyclePlan, Nutrient, Plan, Tank, Vessel
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search import search
from greenrota.rota.tasks.measured import measured_amounts
from greenrota.rota.tasks.supplies import supplies
from greenrota.rota.tasks.task import Task
from greenrota.views.away.away import away_page
from greenrota.views.calendar.appointment import renewed
from greenrota.views.card.card import card_text
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import vessel_card
from greenrota.views.paper.page import PAPERS
from greenrota.views.sheet.sheet import sheet_html
from greenrota.views.tasks.agenda import agenda
from greenrota.views.tasks.pour import pour_parts
from greenrota.views.tasks.supplies import supplies_page
from greenrota.views.today.today import today_page

_AMOUNT = re.compile(r"(?<![\d.e])(\d+(?:\.\d+)?) (mL|L|g|kg)\b(?! for each| of chlorine|/)")
FLOAT = 1e-6  # rounding of sums, far below any step


def step_ml(volume_ml: float) -> float:
    """By hand from the instruments: 0.01 mL to 1 mL, 0.05 to 10, 1 to 100, a jug of 10 mL above."""
    return next(s for most, s in ((1.0, 0.01), (10.0, 0.05), (100.0, 1.0), (1e9, 10.0)) if volume_ml < most)


def whole_steps(value: float, step: float) -> bool:
    return abs(value / step - round(value / step)) < FLOAT


def amounts(text: str) -> list[tuple[float, str]]:
    """Every amount of a page, in mL or g; what a doubt "under" is said of is none."""
    bare = re.sub(r"under \S+ (mL|g)", "", re.sub(r"\([^)]*\)", "", text))
    found = [(float(number), unit) for number, unit in _AMOUNT.findall(bare)]
    return [
        (n * 1000.0, unit[-1:] if unit == "kg" else "mL") if unit in ("L", "kg") else (n, unit)
        for n, unit in found
    ]


def read_ml(part: str) -> float:
    """The first volume of a part; what no syringe shows counts as nothing."""
    found = [ml for ml, unit in amounts(part) if unit == "mL"]
    return found[0] if found else 0.0


@contextmanager
def quick_search() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "FEWEST_BATCHES", 20)  # which dates are found does not matter here
        patch.setattr(search, "MOST_BATCHES", 40)
        patch.setattr(search, "EXACT_BATCHES", 40)
        yield


def planned(plan: Plan) -> Rota:
    with quick_search():
        return schedule(plan)


any_plan = st.one_of(lively_plans(most_days=31), plans(most_days=31, most_vessels=4)).flatmap(
    lambda plan: st.sampled_from(("metric", "us")).map(lambda units: replace(plan, units=units))
)


@settings(max_examples=20)
@given(any_plan)
def test_every_printed_amount_is_one_that_an_instrument_shows(plan: Plan) -> None:
    rota = planned(plan)
    pages = [agenda(rota, rota.tasks), sheet_html(rota, rota.tasks, PAPERS["a4"]), supplies_page(rota)]
    pages += [today_page(rota, on) for on in sorted({task.on for task in rota.tasks})[:4]]
    cards = [vessel_card(rota, name) for name in rota.benches]
    cards += [nutrient_card(rota, name) for name in plan.nutrients]
    pages += [card_text(card) for card in cards]
    # in US units the metric amount is the hint, which stands in brackets
    pages += [cell.hint for card in cards for row in card.rows for cell in row.cells]
    pages += [away_page(rota, departures(rota))]
    stamp = datetime(2027, 2, 1, tzinfo=UTC)
    pages += [each.summary for each in renewed({}, rota, False, rota.as_of, stamp).appointments]
    for page in pages:
        for value, unit in amounts(re.sub(r"<[^>]+>", " ", page)):
            assert whole_steps(value, 1.0 if unit == "g" else step_ml(value)), (value, unit)


class Bench:
    """Jars and bottles, filled and drawn by what is printed. `left` and `exact` in mL, by batch or bottle."""

    def __init__(self, rota: Rota) -> None:
        self.rota = rota
        self.left = {f"starter:{each.name}": each.volume_ml for each in rota.plan.starters}
        self.exact = dict(self.left)

    def draw(self, source: str, told_ml: float, exact_ml: float) -> None:
        if source in self.left:
            assert told_ml <= self.left[source] + FLOAT, (source, "more is taken than stands there")
            self.left[source] -= told_ml
            self.exact[source] -= exact_ml
            assert abs(self.left[source] - self.exact[source]) <= self.step(told_ml, self.left[source]), (
                source
            )

    @staticmethod
    def step(*volumes_ml: float) -> float:
        """One step of the coarsest instrument at work, beside what a jar may lack since it was filled: another."""
        return max(map(step_ml, volumes_ml)) + FLOAT

    def fill(self, task: Task, there_ml: float) -> None:
        vessel = self.rota.plan.vessel(task.vessel)
        culture, seawater, *nutrients = map(read_ml, pour_parts(task))
        told = culture + seawater
        # a first fill that is topped up later holds what its exact amounts make together
        partly_ml = (task.amounts.inoculum_ml or 0.0) + (task.amounts.seawater_ml or 0.0)
        fill_ml = partly_ml if task.fill_ml is not None else vessel.fill_l * 1000.0
        step = self.step(culture, seawater)
        # where culture alone makes a first fill, it is read to the nearest step
        most_ml = fill_ml if seawater else vessel.fill_l * 1000.0
        assert told <= most_ml + FLOAT
        assert there_ml + seawater <= most_ml + FLOAT
        assert there_ml + seawater + sum(nutrients) <= max(vessel.brim_l * 1000.0, sum(nutrients)) + FLOAT
        lacking = fill_ml - told
        assert lacking >= -step
        assert lacking <= step + max(0.0, fill_ml + sum(nutrients) - vessel.brim_l * 1000.0) + max(
            0.0, there_ml - culture
        )
        self.left[task.batch], self.exact[task.batch] = there_ml + seawater, fill_ml

    def do(self, task: Task) -> None:
        parts, exact = pour_parts(task), task.amounts
        if task.kind == "start":
            culture = read_ml(parts[0])
            vessel = self.rota.plan.vessel(task.vessel)
            # by hand: what does not fit below the nutrient is not taken
            fits_ml = 1000.0 * vessel.brim_l - sum(map(read_ml, parts[2:]))
            fits_ml = min(1000.0 * vessel.fill_l, fits_ml)
            fits_ml -= fits_ml % step_ml(fits_ml)
            self.draw(task.parent, culture, min(exact.inoculum_ml or 0.0, fits_ml))
            self.fill(task, culture)
        elif task.kind == "bank":
            told = read_ml(parts[0])
            self.draw(task.batch, told, exact.bank_ml or 0.0)
            self.left[f"fridge:{task.batch}"], self.exact[f"fridge:{task.batch}"] = told, exact.bank_ml or 0.0
        elif task.kind == "harvest":
            taken, kept = (read_ml(part) for part in parts[0].split(", keep"))
            assert taken + kept <= self.left[task.batch] + FLOAT
            assert taken + kept >= self.left[task.batch] - self.step(taken, kept)
            # By hand: what a finer instrument shows is measured out first, and all the rest is taken.
            kept_first = kept > 0.0 and step_ml(kept) < step_ml(taken)
            assert kept_first == ("measured out first" in parts[0])
            self.left[task.batch] = kept if kept_first else self.left[task.batch] - taken
            self.exact[task.batch] -= exact.harvest_ml or 0.0
            # What is to be kept is read to half a step, and less than a step of what is taken stays above it.
            over = kept - (exact.keep_ml or 0.0)
            assert -self.step(kept, exact.keep_ml or 0.0) <= over <= self.step(taken, kept)
            if exact.keep_ml:  # what is said to stay is what stands there
                assert 0.0 <= self.left[task.batch] - kept + FLOAT <= self.step(kept) + FLOAT
            assert abs(self.left[task.batch] - self.exact[task.batch]) <= 1.5 * self.step(taken, kept, 1000.0)
        elif task.kind == "topup":
            self.top_up(task, read_ml(parts[0]), sum(map(read_ml, parts[1:])))
        elif task.kind == "reseed":
            self.fill(task, self.left.pop(task.parent))

    def top_up(self, task: Task, seawater_ml: float, nutrient_ml: float) -> None:
        vessel = self.rota.plan.vessel(task.vessel)
        there_ml, brim_ml = self.left[task.batch] + seawater_ml, vessel.brim_l * 1000.0
        self.exact[task.batch] += task.amounts.seawater_ml or 0.0
        assert there_ml <= vessel.fill_l * 1000.0 + FLOAT
        assert there_ml + nutrient_ml <= max(brim_ml, nutrient_ml) + FLOAT
        lacking = self.exact[task.batch] - there_ml
        room_ml = max(0.0, self.exact[task.batch] + nutrient_ml - brim_ml)
        assert -FLOAT <= lacking <= self.step(seawater_ml) + room_ml, task.id
        self.left[task.batch] = there_ml


def season(rota: Rota) -> Bench:
    bench = Bench(rota)
    for task in rota.tasks:
        bench.do(task)
    return bench


@settings(max_examples=60)
@given(st.one_of(lively_plans(most_days=62), plans(most_days=62, most_vessels=4)))
def test_a_season_by_the_printed_figures_fits_and_does_not_drift(plan: Plan) -> None:
    rota = planned(plan)
    season(rota)
    # of a start or re-seed the first part is what is living
    kinds = {"start": 1, "reseed": 1, "topup": 0}
    poured = {t.id: read_ml(pour_parts(t)[kinds[t.kind]]) for t in rota.tasks if t.kind in kinds}
    for task in rota.tasks:
        if task.kind == "prepare":  # what is mixed is what is poured
            mixed_ml = read_ml(pour_parts(task)[0])
            assert abs(mixed_ml - sum(poured[each] for each in task.serves)) <= step_ml(mixed_ml) / 2 + FLOAT


def us_shelf(days: int, vessels: int, **changes: object) -> Plan:
    """US gallons: no exact volume is a step of any instrument."""
    jars = tuple(example_vessel(f"jar{n}", brim_l=4.5, fill_l=3.785411784) for n in range(vessels))
    nutrient = Nutrient("f2", media()["f/2"], dose_ml_per_l=0.137, bottle_ml=100.0)
    return example_plan(units="us", days=days, vessels=jars, nutrients={"f2": nutrient}, **changes)


@pytest.mark.parametrize("days", [31, 120])
def test_what_is_used_and_left_adds_up_with_the_pours(days: int) -> None:
    rota = planned(us_shelf(days, 3, cycle=CyclePlan(inoculum=0.35, days=6, feed_day=3)))
    poured: dict[str, float] = defaultdict(float)
    salt_g = 0.0
    for task in rota.tasks:
        if task.kind in ("start", "reseed", "feed"):
            poured["f2"] += sum(
                read_ml(part) for part in pour_parts(task) if part.split(" ", 2)[2].startswith("f2")
            )
        if task.kind == "prepare":
            salt_g += next(g for g, unit in amounts(pour_parts(task)[0]) if unit == "g")
    page = supplies_page(rota)
    (told,) = [line for line in page.splitlines() if line.startswith("nutrient f2")]
    (salt,) = [line for line in page.splitlines() if line.startswith("dry salt")]
    assert abs(read_ml(told) - poured["f2"]) <= step_ml(poured["f2"]) / 2 + FLOAT
    assert amounts(salt)[0][0] == salt_g
    exact = supplies(rota.plan, rota.tasks)
    pours = sum(1 for task in rota.tasks if task.amounts.nutrient_ml)
    assert (
        abs(poured["f2"] - exact.nutrient_ml["f2"]) <= pours * 0.005
    )  # half a step of the syringe each, at most


def test_many_starts_from_one_starter_leave_what_is_held_back() -> None:
    """By hand: ten starts of 36.5 mL each would be 37 mL ten times, 5 mL more than they should take together."""
    jars = tuple(example_vessel(f"jar{n}", brim_l=0.6, fill_l=0.5) for n in range(10))
    rota = planned(example_plan(days=14, vessels=jars))
    starts = [t for t in rota.tasks if t.kind == "start" and t.parent == "starter:bought"]
    bench = season(rota)
    assert len(starts) > 5
    assert abs(bench.left["starter:bought"] - bench.exact["starter:bought"]) <= 1.0 + FLOAT


def test_the_last_of_a_bottle_is_no_more_than_is_in_it() -> None:
    """By hand: 500 mL among three jars is 166.67 mL each; 170 mL three times are 10 mL too many."""
    plan = example_plan(days=10, vessels=tuple(example_vessel(f"jar{n}") for n in range(3)))
    plan = replace(plan, starters=(replace(plan.starters[0], keep_back=0.0),))
    rota = planned(plan)
    start = next(t for t in rota.tasks if t.kind == "start" and t.parent == "starter:bought")
    third = replace(start.amounts, inoculum_ml=500.0 / 3.0, seawater_ml=4000.0 - 500.0 / 3.0)
    # how a rota shares a starter out does not matter here
    starts = [
        replace(start, id=f"{v.name}/1/start", vessel=v.name, batch=f"{v.name}/1", amounts=third)
        for v in plan.vessels
    ]
    measured = measured_amounts(starts, rota.start_state.state, plan)
    told = [
        read_ml(pour_parts(replace(task, measured=amounts))[0])
        for task, amounts in zip(starts, measured, strict=True)
    ]
    assert sorted(told) == [160.0, 170.0, 170.0]


def test_a_jar_filled_to_the_brim_keeps_room_for_its_nutrient() -> None:
    vessel = Vessel("full", "tetraselmis", "f2", 4.0, 4.0, 22.0, 14.0)
    (start,) = [t for t in planned(example_plan(days=3, vessels=(vessel,))).tasks if t.kind == "start"]
    culture, seawater, nutrient = map(read_ml, pour_parts(start))
    assert culture + seawater + nutrient <= 4000.0
    assert culture + seawater == 3990.0  # one step of the jug lower, for 0.80 mL


def test_a_card_says_what_is_left_in_its_bottle() -> None:
    plan = us_shelf(31, 2, tank=Tank(300.0, 100.0))
    rota = replace(planned(plan), poured={"f2": 41.0})
    assert "holds     59 mL" in card_text(nutrient_card(rota, "f2"))
