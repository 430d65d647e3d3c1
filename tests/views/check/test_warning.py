"""Warnings as text: one line each without a screen, vessels of which the same is said together."""

from greenrota.rota.warning import PlanWarning
from greenrota.views.check.warning import warnings_text

LIGHT = "14 h of light is under the handbook's 16 h"
TOLD = [
    PlanWarning("photoperiod-range", f"north: {LIGHT}", "north"),
    PlanWarning("one-home", "tetraselmis: no second place"),
    PlanWarning("photoperiod-range", f"south: {LIGHT}", "south"),
    PlanWarning("over-ripe", "north/4 is over-ripe", "north"),
]


def test_the_same_warning_is_said_once_for_all_its_vessels() -> None:
    assert warnings_text(TOLD).splitlines() == [
        f"warning: north, south: {LIGHT} [photoperiod-range]",
        "warning: tetraselmis: no second place [one-home]",
        "warning: north/4 is over-ripe [over-ripe]",
    ]


def test_it_wraps_to_the_screen_and_loses_no_word() -> None:
    lines = warnings_text(TOLD, 40).splitlines()
    assert max(map(len, lines)) <= 40
    assert " ".join(" ".join(lines).split()) == " ".join(warnings_text(TOLD).split())


def test_control_characters_are_written_out() -> None:
    assert "\x1b" not in warnings_text([PlanWarning("x", "a\x1b[2J")])


def test_nothing_to_warn_of_is_no_text() -> None:
    assert warnings_text([]) == ""
