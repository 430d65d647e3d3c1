"""Several strains on one shelf: own lines, own back-ups, own tools, one calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.strain import strains
from greenrota.rota.kinds import STRAIN_TOOLS
from greenrota.rota.plan import Plan, Starter
from greenrota.rota.schedule import schedule
from greenrota.views.tasks.care import always_block, in_short

GREEN, GOLDEN = "tetraselmis", "isochrysis"


def two_strains() -> Plan:
    one = example_plan()
    second = Starter("golden", GOLDEN, 500.0, 8e6, START - timedelta(days=2))
    return replace(
        one,
        strains={name: strains()[name] for name in (GREEN, GOLDEN)},
        starters=(*one.starters, second),
        vessels=(example_vessel("north"), example_vessel("gold", strain=GOLDEN)),
    )


def test_tools_are_not_shared_where_culture_is_carried() -> None:
    tasks = schedule(two_strains()).tasks
    assert {"start", "reseed", "bank", "harvest"} <= {task.kind for task in tasks}
    for task in tasks:
        assert (STRAIN_TOOLS in task.cautions) == (task.kind in ("start", "reseed", "bank")), task.id
    assert "tools are not shared" in always_block(tasks)
    assert "own tools for each strain" in " ".join(" ".join(in_short(tasks, 200)).split())


def test_one_strain_needs_no_such_caution() -> None:
    unused = replace(example_plan(), strains={name: strains()[name] for name in (GREEN, GOLDEN)})
    for plan in (
        example_plan(),
        unused,
    ):  # a strain that stands in the plan and grows nowhere is no second one
        assert not any(STRAIN_TOOLS in task.cautions for task in schedule(plan).tasks)


def test_lines_and_back_ups_stay_apart() -> None:
    rota = schedule(two_strains())
    strain_of = {"north": GREEN, "gold": GOLDEN, "starter:bought": GREEN, "starter:golden": GOLDEN}

    def grown(source: str) -> str:
        return strain_of.get(source) or strain_of[source.removeprefix("fridge:").split("/")[0]]

    assert all(grown(task.parent) == strain_of[task.vessel] for task in rota.tasks)
    banked = {strain_of[task.vessel] for task in rota.tasks if task.kind == "bank"}
    assert banked == {GREEN, GOLDEN}
