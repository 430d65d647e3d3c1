"""Drafts of tasks: a task is made of one by place, so both list the same fields."""

from dataclasses import fields

from greenrota.rota.tasks.task import Draft, Task


def test_a_draft_has_the_fields_of_a_task_in_its_order() -> None:
    assert (*Draft._fields, "measured") == tuple(each.name for each in fields(Task))
    written = [each for each in fields(Task) if each.name in Draft._field_defaults]
    assert {each.name: each.default for each in written} == Draft._field_defaults
