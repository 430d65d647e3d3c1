"""The table of commands, in the order of the help; none is loaded here."""

from collections.abc import Callable
from importlib import import_module
from typing import Any, NamedTuple

_PLANNING = "Planning"
_LIVING = "Living with it"
_WITHOUT = "Without a plan"
_PAPER = "On paper"


class Listed(NamedTuple):
    """A command as a table lists it: what the help of its group says of it, and where it is found.

    `moment` is its section of the help, `line` the first sentence of its own help, `example` a command that runs as it
    stands. It is the function `name` of the module `greenrota.cli.FOLDER.NAME`, which of a group gives a typer.Typer.
    """

    moment: str
    folder: str
    name: str
    line: str
    example: str
    is_group: bool = False

    def function(self) -> Callable[..., Any]:
        """The function, from its module."""
        module = import_module(f"greenrota.cli.{self.folder}.{self.name}")
        found: Callable[..., Any] = getattr(module, self.name)
        return found


COMMANDS: tuple[Listed, ...] = (
    Listed(
        _PLANNING,
        "planning",
        "new",
        "Write a commented plan to start from.",
        "greenrota new plan.toml",
    ),
    Listed(
        _PLANNING,
        "planning",
        "check",
        "Problems and warnings of a plan and its logbook.",
        "greenrota check examples/shelf.toml",
    ),
    Listed(
        _PLANNING,
        "planning",
        "month",
        "A month at a glance: visits, ripe days, days away.",
        "greenrota month examples/shelf.toml --from 2027-02-01",
    ),
    Listed(
        _PLANNING,
        "planning",
        "tasks",
        "Dated tasks by day and visit, with every amount.",
        "greenrota tasks examples/shelf.toml --from 2027-02-08 --days 7",
    ),
    Listed(
        _PLANNING,
        "planning",
        "growth",
        "Projected density, ceiling and ripe days of a vessel.",
        "greenrota growth north examples/shelf.toml",
    ),
    Listed(
        _PLANNING,
        "planning",
        "bottles",
        "Harvest bottles, rations and shortfalls day by day.",
        "greenrota bottles examples/shelf.toml",
    ),
    Listed(
        _PLANNING,
        "planning",
        "risk",
        "Chance of losing the strain, and of days without feed.",
        "greenrota risk examples/shelf.toml --without-backup",
    ),
    Listed(
        _PLANNING,
        "planning",
        "size",
        "The fewest vessels that meet the ration at a confidence.",
        "greenrota size examples/shelf.toml --confidence 0.95",
    ),
    Listed(
        _PLANNING,
        "planning",
        "supplies",
        "What the tasks use up, when each bottle runs dry, what to buy.",
        "greenrota supplies examples/shelf.toml",
    ),
    Listed(
        _LIVING,
        "living",
        "today",
        "What is due and overdue, what to pour, what comes next.",
        "greenrota today examples/shelf.toml --on 2027-02-13",
    ),
    Listed(
        _LIVING,
        "log",
        "log",
        "Write down what was done; amounts default to those of the task.",
        "greenrota log crashed south --cause contamination --since 2027-02-09",
    ),
    Listed(
        _LIVING,
        "living",
        "cautions",
        "Every caution in full, and how well each is known.",
        "greenrota cautions",
    ),
    Listed(
        _LIVING,
        "living",
        "changes",
        "What the newest log entries changed in the rota, with reasons.",
        "greenrota changes examples/shelf.toml",
    ),
    Listed(
        _LIVING,
        "living",
        "away",
        "Days away: what is done before, the feed, a note to leave.",
        "greenrota away examples/shelf.toml",
    ),
    Listed(
        _LIVING,
        "living",
        "lineage",
        "Which batch comes from which; what a contamination would touch.",
        "greenrota lineage examples/shelf.toml --from north --since 2027-02-20",
    ),
    Listed(
        _LIVING,
        "living",
        "calibrate",
        "Rate and ceiling from your own counts, as lines for the plan.",
        "greenrota calibrate north examples/shelf.toml",
    ),
    Listed(
        _PAPER,
        "printing",
        "card",
        "Dose cards: what is poured, how much, with drops as a hint.",
        "greenrota card examples/shelf.toml --nutrient f2",
    ),
    Listed(
        _PAPER,
        "printing",
        "labels",
        "Labels for vessels and bottles, to print and cut out.",
        "greenrota labels labels.html examples/shelf.toml --label 62x38",
    ),
    Listed(
        _PAPER,
        "printing",
        "sheet",
        "A task sheet to print: boxes to tick, amounts, room to write.",
        "greenrota sheet sheet.html examples/shelf.toml --from 2027-02-08 --days 14",
    ),
    Listed(
        _PAPER,
        "printing",
        "calendar",
        "The tasks as a calendar file (iCalendar).",
        "greenrota calendar shelf.ics examples/shelf.toml",
    ),
)
GROUPS: tuple[Listed, ...] = (
    Listed(
        _WITHOUT,
        "reckon",
        "reckon",
        "Arithmetic for single questions: salt, doses, counts, bleach.",
        'greenrota reckon salt "4 L" "26 psu"',
        is_group=True,
    ),
)
