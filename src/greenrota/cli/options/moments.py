"""The command group, whose help lists the commands by what they are used for, not by the alphabet."""

from __future__ import annotations

from typing import Any

from typer.core import TyperGroup


def as_typed(example: str) -> str:
    """The example below a help page, on one line however narrow the screen is, so that it can be copied."""
    return f"\b\nExample: {example}"  # \b: what the command line parser takes for "do not wrap this"


class ByMoment(TyperGroup):
    """A group whose help has a section for each moment, the `rich_help_panel` of a command, in the table's order."""

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
