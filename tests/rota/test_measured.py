"""Amounts as a person writes them down, to a tenth of a millilitre, against what there was."""

from datetime import date

import pytest
from plan_texts import SHORT

from greenrota.logbook.entry import Entry
from greenrota.planfile.read.load import read_plan
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import context_for

DAY = date(2027, 2, 1)
PLAN = read_plan(
    f"""{SHORT}
[[starter]]
name = "bought"
volume = "500 mL"
density = "2e6 cells/mL"
on_hand = 2027-01-30
""",
    "plan.toml",
)
STARTER = f"starter:{PLAN.starters[0].name}"


@pytest.mark.parametrize(("off_ml", "left"), [(0.0, False), (0.4, False), (-0.4, False), (-0.6, True)])
def test_all_there_was_is_taken_where_the_figure_says_so_as_nearly_as_it_is_measured(
    off_ml: float, left: bool
) -> None:
    # our choice: half a millilitre is as fine as anybody measures
    asked_ml = PLAN.starters[0].volume_ml + off_ml
    vessel = PLAN.vessels[0].name
    entry = Entry(DAY, "started", vessel, (("from", STARTER), ("inoculum", asked_ml)))
    told = replay(context_for(PLAN), [entry], DAY)
    assert told.problems == []
    assert (STARTER in told.recorder.state.bottles) == left


def test_more_than_there_was_is_a_problem_and_kept() -> None:
    asked_ml = PLAN.starters[0].volume_ml + 1.0
    entry = Entry(DAY, "started", PLAN.vessels[0].name, (("from", STARTER), ("inoculum", asked_ml)))
    told = replay(context_for(PLAN), [entry], DAY)
    assert [problem.code for problem in told.problems] == ["log-source"]
    assert PLAN.vessels[0].name in told.recorder.state.cultures
