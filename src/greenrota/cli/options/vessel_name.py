"""The name of a vessel, batch, bottle, task, medium or strain, as it is typed on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from greenrota.errors import Place, Problem, ProblemsFound, nearest

if TYPE_CHECKING:
    from greenrota.culture.data.medium import Medium
    from greenrota.culture.data.strain import Strain
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota
    from greenrota.rota.tasks.task import Task


def known_vessel(plan: Plan, typed: str, argument: str) -> str:
    """The vessel of the plan that is meant; ProblemsFound (status 2, "unknown-vessel") if there is none.

    `argument` names the option or argument in the problem.
    """
    names = [vessel.name for vessel in plan.vessels]
    return _known(names, typed, argument, "unknown-vessel", "the plan has no vessel", "the plan has")


def known_nutrient(plan: Plan, typed: str, argument: str) -> str:
    """The nutrient bottle of the plan that is meant; ProblemsFound (status 2, "unknown-nutrient") otherwise."""
    names = list(plan.nutrients)
    return _known(names, typed, argument, "unknown-nutrient", "the plan has no nutrient", "the plan has")


def known_consumer(plan: Plan, typed: str, argument: str) -> str:
    """The consumer of the plan that is meant; ProblemsFound (status 2, "unknown-consumer") if there is none."""
    from greenrota.rota.feed.rations import consumers

    names = [consumer.name for consumer in consumers(plan)]
    return _known(
        names, typed, argument, "unknown-consumer", "the plan feeds nobody called", "the plan feeds"
    )


def known_subject(rota: Rota, typed: str, argument: str, planned: bool = False) -> str:
    """The vessel, batch or bottle that is meant, as known on the day of the rota; with `planned` also one to come.

    ProblemsFound (status 2, "unknown-subject") if there is none.
    """
    names = [vessel.name for vessel in rota.plan.vessels]
    names += [*rota.gone_vessels.living, *rota.gone_vessels.living.values()]
    for shelf in (rota.state, rota.simulation.state) if planned else (rota.state,):
        names += [*shelf.filled, *shelf.batches, *(bottle.id for bottle in shelf.harvests)]
    return _known(
        names, typed, argument, "unknown-subject", "no vessel, batch or bottle is called", "known are"
    )


def known_task(rota: Rota, typed: str, argument: str) -> Task:
    """The task of the rota that is meant; ProblemsFound (status 2, "unknown-task") if there is none."""
    tasks = {task.id: task for task in rota.tasks}
    return tasks[_known(list(tasks), typed, argument, "unknown-task", "the rota has no task", "it has")]


def known_medium(typed: str, argument: str) -> Medium:
    """The medium that ships and is meant; ProblemsFound (status 2, "unknown-medium") if there is none."""
    from greenrota.culture.data.medium import media

    known = media()
    return known[_known(list(known), typed, argument, "unknown-medium", "there is no medium", "known are")]


def known_strain(typed: str, argument: str) -> Strain:
    """The strain that ships and is meant; ProblemsFound (status 2, "unknown-strain") if there is none."""
    from greenrota.culture.data.strain import strains

    known = strains()
    return known[_known(list(known), typed, argument, "unknown-strain", "there is no strain", "known are")]


def _known(names: list[str], typed: str, argument: str, code: str, what: str, has: str) -> str:
    from unicodedata import normalize

    name = normalize("NFC", typed)
    if name in names:
        return name
    near = nearest(name, names)
    hint = f'did you mean "{near}"?' if near is not None else f"{has}: {_some(names)}"
    problem = Problem(code, Place(argument), f'{what} "{typed}"', hint)
    raise ProblemsFound([problem], status=2)


def _some(names: list[str], most: int = 12) -> str:
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown
