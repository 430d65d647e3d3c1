"""What is decided is done on its day where that is possible, and by the rule where it is not.

Truth: by hand from what a decision is.
"""

from __future__ import annotations

from datetime import date, timedelta

from made_plans import START, example_plan

from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import start_from_plan

PLAN = example_plan()
CONTEXT, START_STATE = context_for(PLAN), start_from_plan(PLAN)
BY_RULE = simulate(CONTEXT, START_STATE, Decisions())


def days_of(simulated: Simulation, kind: str, batch: str) -> list[date]:
    return [event.on for event in simulated.events if (event.kind, event.batch.id) == (kind, batch)]


def test_a_vessel_is_started_on_the_decided_day_whichever_of_its_days_that_is() -> None:
    assert set(BY_RULE.start_options) == {"north", "south"}
    for vessel, options in BY_RULE.start_options.items():
        assert len(options) > 1
        for day in options:
            simulated = simulate(CONTEXT, START_STATE, Decisions(starts={vessel: day}))
            assert days_of(simulated, "start", f"{vessel}/1") == [day]


def test_a_day_on_which_it_can_not_be_started_is_left_to_the_rule() -> None:
    for vessel, options in BY_RULE.start_options.items():
        for day in (START - timedelta(days=1), options[-1] + timedelta(days=1)):
            simulated = simulate(CONTEXT, START_STATE, Decisions(starts={vessel: day}))
            assert days_of(simulated, "start", f"{vessel}/1") == days_of(BY_RULE, "start", f"{vessel}/1")


def test_a_batch_is_harvested_on_the_decided_day_whichever_of_its_days_that_is() -> None:
    (choice,) = [each for each in BY_RULE.choices if each.batch.id == "north/1"]
    assert len(choice.options) > 1
    for day in choice.options:
        simulated = simulate(CONTEXT, START_STATE, Decisions({"north/1": day}))
        assert days_of(simulated, "harvest", "north/1") == [day]
        assert days_of(simulated, "reseed", "north/2") == [day]
    never = Decisions({"north/1": choice.batch.started})
    assert days_of(simulate(CONTEXT, START_STATE, never), "harvest", "north/1") == [choice.taken]


def test_so_much_stays_in_a_vessel_as_was_decided() -> None:
    fill_l = CONTEXT.benches["north"].vessel.fill_l
    for share in CONTEXT.cycles["north"].carry_overs:
        simulated = simulate(CONTEXT, START_STATE, Decisions(keeps={"north/1": share}))
        assert simulated.keeps["north/1"] == share
        (reseed,) = [
            event for event in simulated.events if (event.kind, event.batch.id) == ("reseed", "north/2")
        ]
        assert reseed.after is not None and reseed.before is not None
        assert abs(reseed.before.volume_l - share * fill_l) < 1e-9 * fill_l
