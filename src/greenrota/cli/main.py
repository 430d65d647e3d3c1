"""The entry point: the program as typer sees it, and how every error ends it."""

from __future__ import annotations

import os
import sys
from typing import Annotated, Any, cast

import typer

from greenrota import __version__
from greenrota.cli.options.moments import ByMoment
from greenrota.cli.table import COMMANDS, GROUPS
from greenrota.errors import Place, Problem, ProblemsFound

# We use no plug-ins of pydantic; looking for some reads every installed package's metadata, some ten milliseconds.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

_HELP = "Plan a microalgae rotation for a shelf of jars: from vessels, starter and days off to dated tasks."
_EPILOG = "PLAN is plan.toml here or in the nearest parent folder. Each command has --help with an example."
_SETTINGS = {"help_option_names": ["-h", "--help"]}

# What typer raises for a command line it can not read; it gives that class no public name of its own.
_Misread = cast(type[Exception], typer.BadParameter.__base__)


def _show_version(wanted: bool) -> None:
    if wanted:
        from greenrota.cli.system import out

        out.write(f"greenrota {__version__}")
        raise typer.Exit(0)


def _start(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and exit."),
    ] = False,
) -> None:
    """Nothing to do before a command."""


class Program(ByMoment):
    """The commands of the table, each loaded when it is asked for."""

    listed = (*COMMANDS, *GROUPS)


def build() -> typer.Typer:
    """The program as typer sees it, without any command loaded."""
    app = typer.Typer(
        name="greenrota",
        cls=Program,
        help=_HELP,
        epilog=_EPILOG,
        context_settings=_SETTINGS,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_start)
    return app


def main() -> None:
    """Run the command line and exit.

    Status 0: done; 1: plan, logbook or state at fault; 2: the command line is; 130: interrupted.
    """
    _open_closed_streams()
    try:
        sys.exit(build()(prog_name="greenrota", standalone_mode=False))
    except (_Misread, ProblemsFound, OSError) as error:
        sys.exit(_told(error))
    except (KeyboardInterrupt, typer.Abort):
        sys.exit(130)


def _told(error: Exception) -> int:
    """Write an error as problems and give the exit status. What writes them is loaded only then."""
    from greenrota.cli.system import out

    if isinstance(error, ProblemsFound):
        out.report(error.problems)
        return error.status
    if isinstance(error, OSError):
        out.report([out.unreadable(error)])
        return 1
    _explain(error)
    return 2


def _explain(misread: Any) -> None:
    """Show what typer could not read as a problem like any other; show the help where no command was given."""
    from greenrota.cli.system import out

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
