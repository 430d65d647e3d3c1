"""The ids of tasks: made of a batch and a kind, so that one stays the same when its day moves."""

from __future__ import annotations

from greenrota.rota.kinds import FILLING, TaskKind


def task_id(batch: str, kind: TaskKind, number: int = 1) -> str:
    """The id of a task; a number tells several of a kind in one batch apart, from the second on.

    >>> task_id("north/1", "topup"), task_id("north/1", "topup", 2)
    ('north/1/topup', 'north/1/topup.2')
    """
    return f"{batch}/{kind}" if number == 1 else f"{batch}/{kind}.{number}"


def prepare_id(batch: str, kind: TaskKind, number: int = 1) -> str:
    """The id of the prepare task before a filling, or before a top-up, of which the batch's own comes first.

    >>> prepare_id("north/1", "start"), prepare_id("north/1", "topup")
    ('north/1/prepare', 'north/1/prepare.2')
    """
    return task_id(batch, "prepare", number if kind in FILLING else number + 1)


def kind_named(task: str) -> str:
    """The kind that a task id names: undoes `task_id`; "" for a text without one.

    >>> kind_named("north/1/topup.2"), kind_named("north/1/start")
    ('topup', 'start')
    """
    return task.rpartition("/")[2].partition(".")[0]


def batch_and_number(task: str) -> tuple[str, int]:
    """The batch that a task id names, and its number among the tasks of its kind: undoes `task_id`.

    >>> batch_and_number("north/1/topup.2"), batch_and_number("north/1/topup")
    (('north/1', 2), ('north/1', 1))
    """
    batch, _, kind = task.rpartition("/")
    number = kind.partition(".")[2]
    return batch, int(number) if number else 1
