"""The entry point: the table of commands, and how every error ends the program."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from typing import Annotated, Any, cast

import typer

from greenrota import __version__
from greenrota.cli.living.away import away
from greenrota.cli.living.calibrate import calibrate
from greenrota.cli.living.cautions import cautions
from greenrota.cli.living.changes import changes
from greenrota.cli.living.lineage import lineage
from greenrota.cli.living.today import today
from greenrota.cli.log.log import log
from greenrota.cli.options.moments import ByMoment, as_typed
from greenrota.cli.planning.bottles import bottles
from greenrota.cli.planning.check import check
from greenrota.cli.planning.growth import growth
from greenrota.cli.planning.month import month
from greenrota.cli.planning.new import new
from greenrota.cli.planning.risk import risk
from greenrota.cli.planning.size import size
from greenrota.cli.planning.supplies import supplies
from greenrota.cli.planning.tasks import tasks
from greenrota.cli.printing.calendar import calendar
from greenrota.cli.printing.card import card
from greenrota.cli.printing.labels import labels
from greenrota.cli.printing.sheet import sheet
from greenrota.cli.reckon.reckon import reckonings
from greenrota.cli.system import out
from greenrota.errors import Place, Problem, ProblemsFound

# We use no plug-ins of pydantic; looking for some reads every installed package's metadata, some ten milliseconds.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
# A command lives for a second and makes few cycles; looking for them after every 700 objects costs a tenth of that.
gc.set_threshold(100_000)

_PLANNING = "Planning"
_LIVING = "Living with it"
_WITHOUT = "Without a plan"
_PAPER = "On paper"

# moment, command, an example that runs as it stands
COMMANDS: tuple[tuple[str, Callable[..., None], str], ...] = (
    (_PLANNING, new, "greenrota new plan.toml"),
    (_PLANNING, check, "greenrota check examples/shelf.toml"),
    (_PLANNING, month, "greenrota month examples/shelf.toml --from 2027-02-01"),
    (_PLANNING, tasks, "greenrota tasks examples/shelf.toml --from 2027-02-08 --days 7"),
    (_PLANNING, growth, "greenrota growth north examples/shelf.toml"),
    (_PLANNING, bottles, "greenrota bottles examples/shelf.toml"),
    (_PLANNING, risk, "greenrota risk examples/shelf.toml --without-backup"),
    (_PLANNING, size, "greenrota size examples/shelf.toml --confidence 0.95"),
    (_PLANNING, supplies, "greenrota supplies examples/shelf.toml"),
    (_LIVING, today, "greenrota today examples/shelf.toml --on 2027-02-13"),
    (_LIVING, log, "greenrota log crashed south --cause contamination --since 2027-02-09"),
    (_LIVING, cautions, "greenrota cautions"),
    (_LIVING, changes, "greenrota changes examples/shelf.toml"),
    (_LIVING, away, "greenrota away examples/shelf.toml"),
    (_LIVING, lineage, "greenrota lineage examples/shelf.toml --from north --since 2027-02-20"),
    (_LIVING, calibrate, "greenrota calibrate north examples/shelf.toml"),
    (_PAPER, card, "greenrota card examples/shelf.toml --nutrient f2"),
    (_PAPER, labels, "greenrota labels labels.html examples/shelf.toml --label 62x38"),
    (_PAPER, sheet, "greenrota sheet sheet.html examples/shelf.toml --from 2027-02-08 --days 14"),
    (_PAPER, calendar, "greenrota calendar shelf.ics examples/shelf.toml"),
)
GROUPS: tuple[tuple[str, Callable[[], typer.Typer], str], ...] = (
    (_WITHOUT, reckonings, 'greenrota reckon salt "4 L" "26 psu"'),
)

_HELP = "Plan a microalgae rotation for a shelf of jars: from vessels, starter and days off to dated tasks."
_EPILOG = "PLAN is plan.toml here or in the nearest parent folder. Each command has --help with an example."
_SETTINGS = {"help_option_names": ["-h", "--help"]}

# What typer raises for a command line it can not read; it gives that class no public name of its own.
_Misread = cast(type[Exception], typer.BadParameter.__base__)


def _show_version(wanted: bool) -> None:
    if wanted:
        out.write(f"greenrota {__version__}")
        raise typer.Exit(0)


def _start(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and exit."),
    ] = False,
) -> None:
    """Nothing to do before a command."""


def build() -> typer.Typer:
    """The program as typer sees it, built from the table of commands."""
    app = typer.Typer(
        name="greenrota",
        cls=ByMoment,
        help=_HELP,
        epilog=_EPILOG,
        context_settings=_SETTINGS,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_start)
    for moment, command, example in COMMANDS:
        app.command(epilog=as_typed(example), rich_help_panel=moment)(command)
    for moment, group, example in GROUPS:
        app.add_typer(group(), epilog=as_typed(example), rich_help_panel=moment)
    return app


def main() -> None:
    """Run the command line and exit.

    Status 0: done; 1: plan, logbook or state at fault; 2: the command line is; 130: interrupted.
    """
    _open_closed_streams()
    try:
        sys.exit(build()(prog_name="greenrota", standalone_mode=False))
    except _Misread as misread:
        _explain(misread)
        sys.exit(2)
    except ProblemsFound as found:
        out.report(found.problems)
        sys.exit(found.status)
    except OSError as error:
        out.report([out.unreadable(error)])
        sys.exit(1)
    except (KeyboardInterrupt, typer.Abort):
        sys.exit(130)


def _explain(misread: Any) -> None:
    """Show what typer could not read as a problem like any other; show the help where no command was given."""
    message, asked = misread.format_message(), misread.ctx
    if asked is None:
        out.report([Problem("bad-usage", Place("greenrota"), message, "greenrota -h lists the commands")])
    elif message == asked.get_help():
        out.note(message)
    else:
        usage = " ".join(asked.get_usage().split()).removeprefix("Usage: ")
        hint = f"usage: {usage}; {asked.command_path} -h tells more"
        out.report([Problem("bad-usage", Place(asked.command_path), message, hint)])


def _open_closed_streams() -> None:
    """Give a closed stdout or stderr somewhere to go; Python leaves None there."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123 - open to the end
