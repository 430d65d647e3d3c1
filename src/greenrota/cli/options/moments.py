"""The command group, whose help lists the commands by what they are used for, not by the alphabet."""

from __future__ import annotations

from typing import Any, ClassVar

import typer
from typer.core import TyperCommand, TyperGroup

from greenrota.cli.table import Listed


def as_typed(example: str) -> str:
    """The example below a help page, on one line however narrow the screen is, so that it can be copied."""
    return f"\b\nExample: {example}"  # \b: what the command line parser takes for "do not wrap this"


class _Unloaded(TyperCommand):
    """A line of the table in the place of its command, until the command itself is wanted."""

    def __init__(self, listed: Listed) -> None:
        super().__init__(listed.name, help=listed.line, rich_help_panel=listed.moment)
        self.listed = listed

    def loaded(self) -> Any:
        """The command or group."""
        listed, function = self.listed, self.listed.function()
        settings: dict[str, Any] = {
            "epilog": as_typed(listed.example),
            "rich_help_panel": listed.moment,
        }
        app = typer.Typer(add_completion=False, rich_markup_mode=None)
        app.callback()(_nothing)
        if listed.is_group:
            app.add_typer(function(), **settings)
        else:
            app.command(**settings)(function)
        group: Any = typer.main.get_command(app)
        return group.commands[listed.name]


def _nothing() -> None:
    """Makes a group of an app with one command, as typer has it."""


class ByMoment(TyperGroup):
    """A group whose help has a section for each moment, the `rich_help_panel` of a command, in the table's order.

    A command that is `listed` is loaded when it is called or completed, and not for the help of the group.
    """

    listed: ClassVar[tuple[Listed, ...]] = ()

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self._reads_options = True
        for each in self.listed:
            self.commands[each.name] = _Unloaded(each)

    def make_context(self, info_name: Any, args: list[str], parent: Any = None, **extra: Any) -> Any:
        """The context of the group. Its own options are not read where the line begins with a command, for each takes
        time, nor while a line is completed, for that loads pydantic.
        """
        is_named = bool(args) and args[0] in self.commands
        self._reads_options = not is_named and not extra.get("resilient_parsing")
        try:
            return super().make_context(info_name, args, parent, **extra)
        finally:
            self._reads_options = True

    def get_params(self, ctx: Any) -> Any:
        """Its options, with --help; none while a line is completed or begins with a command."""
        return super().get_params(ctx) if self._reads_options else []

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The name of the command that is typed, the command itself, and the words behind it."""
        name, command, rest = super().resolve_command(ctx, args)
        if isinstance(command, _Unloaded):
            command = command.loaded()
            self.commands[command.name] = command
        return name, command, rest

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the sections; called by the help of the group."""
        sections: dict[str, list[tuple[str, str]]] = {}
        widest = max(map(len, self.commands), default=0)
        for name, command in self.commands.items():
            moment = str(getattr(command, "rich_help_panel", None) or "Commands")
            line = command.get_short_help_str(formatter.width - 6 - widest)
            sections.setdefault(moment, []).append((name.ljust(widest), line))
        for moment, lines in sections.items():
            with formatter.section(moment):
                formatter.write_dl(lines)
