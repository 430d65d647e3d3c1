"""Words typed on the command line, and what the program answers, in this process."""

from __future__ import annotations

from typer.testing import CliRunner, Result

from greenrota.cli.main import build


def typed(*words: str) -> Result:
    """Status, streams and exception of `greenrota` with these words."""
    return CliRunner().invoke(build(), list(words))
