"""Cautions are seen where they are needed.

Truth: common practice at the bench, no source; which hand movement meets which danger is derived by hand.
"""

from __future__ import annotations

import pytest
from made_papers import rota_of

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.kinds import CLEANING, STRAIN_TOOLS, TASK_KINDS
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks import care

# Task, what the hands do in it, and so what must be read before.
NEEDED = [
    ("prepare", "plugs in a pump or a heater beside salt water", {"mains"}),
    ("start", "fits the air line and pours nutrient over a running shelf", {"mains", "air_line", "nutrient"}),
    ("feed", "opens the concentrate", {"nutrient"}),
    (
        "harvest",
        "stops the air, lifts a full jar, fills a bottle for the fridge",
        {"mains", "air_line", "glass"},
    ),
    ("harvest", "the bottle stands among food", {"food_fridge"}),
    ("reseed", "refills and fits the air line again", {"mains", "air_line", "nutrient"}),
    ("renew", "bleaches, rinses, perhaps scalds a jar", {*CLEANING, "mains"}),
    ("bank", "draws from a jar on the shelf into a bottle for the fridge", {"mains", "food_fridge"}),
]


@pytest.mark.parametrize(("kind", "movement", "wanted"), NEEDED)
def test_what_the_hands_meet_is_told_at_that_task(kind: str, movement: str, wanted: set[str]) -> None:
    assert wanted <= set(TASK_KINDS[kind].cautions), movement


def test_every_caution_is_needed_somewhere_and_every_task_has_some() -> None:
    assert all(record.cautions for record in TASK_KINDS.values())
    assert {key for record in TASK_KINDS.values() for key in record.cautions} | {STRAIN_TOOLS} == set(
        CAUTIONS
    )
    assert {"bleach", "hot_water", "glass"} <= set(CLEANING)


def all_tasks() -> tuple[Task, ...]:
    return rota_of(2).tasks


def test_a_jar_is_cleaned_before_a_start_and_the_bleach_told_then() -> None:
    starts = {task.batch for task in all_tasks() if task.kind == "start"}
    for task in all_tasks():
        if task.kind == "prepare" and task.batch in starts:
            assert set(CLEANING) <= set(task.cautions)


def test_every_caution_holds_always_or_has_its_word_and_never_both() -> None:
    assert set(care.ALWAYS) | set(care.WORDS) == set(CAUTIONS)
    assert not set(care.ALWAYS) & set(care.WORDS)


def test_whole_texts_keep_their_mark_and_few_words_name_where_they_stand() -> None:
    tasks = all_tasks()
    for block, told in (
        (care.always_block(tasks), care.always(tasks)),
        (care.day_block(tasks), care.on_the_day(tasks)),
    ):
        assert told
        for each in told:
            assert f"{each.text} [{each.status}]" in block
    assert {each.key for each in (*care.always(tasks), *care.on_the_day(tasks))} == {
        key for task in tasks for key in task.cautions
    }
    brief = " ".join(care.in_short(tasks))
    assert all(
        word in brief for word in ("bleach:", "hot water:", "food fridge:", "Always:", "greenrota cautions")
    )


def test_dangers_that_others_rule_on_say_so() -> None:
    """Electrical codes, labels and doctors come first; no text of ours stands in for them."""
    for key, word in (
        ("mains", "codes decide"),
        ("mains", "licensed electrician"),
        ("bleach", "local rules"),
        ("bleach", "label"),
        ("bleach_kind", "label"),
        ("nutrient", "poison centre"),
        ("hot_water", "onto bleach"),
        ("air_line", "siphons back"),
        ("air_line", "pinch"),
    ):
        assert word in CAUTIONS[key].text, key
