"""What is kept in small vessels, as the instruments show it: by hand."""

from __future__ import annotations

import pytest
from made_plans import example_plan, example_vessel

from greenrota.rota.plan import CyclePlan
from greenrota.rota.schedule import schedule


@pytest.mark.parametrize(
    ("fill_l", "keep", "kept_ml"),
    [
        (0.5, 0.05, 25.0),  # by hand: 5 % of 500 mL; the syringe has marks of 1 mL
        (0.5, 0.07, 35.0),
        (0.25, 0.05, 13.0),  # 12.5 mL, to the next mark
        (4.0, 0.05, 200.0),  # the jug has marks of 10 mL
    ],
)
def test_what_is_kept_in_a_small_vessel_is_what_was_meant(fill_l: float, keep: float, kept_ml: float) -> None:
    vessel = example_vessel("jar", brim_l=1.25 * fill_l, fill_l=fill_l)
    tasks = schedule(example_plan(vessels=(vessel,), cycle=CyclePlan(inoculum=keep))).tasks
    of_day = {task.kind: task.measured for task in tasks if task.batch == "jar/1"}
    harvest, bank = of_day["harvest"], of_day["bank"]
    assert harvest is not None and bank is not None
    assert harvest.keep_ml == kept_ml
    # what is taken, bottled and kept is all there was, to a mark of the jug
    whole_ml = (harvest.harvest_ml or 0.0) + (bank.bank_ml or 0.0) + kept_ml
    assert whole_ml == pytest.approx(1000.0 * fill_l, abs=10.0)
    (reseed,) = [task.measured for task in tasks if task.id == "jar/2/reseed"]
    assert reseed is not None and reseed.keep_ml == kept_ml
