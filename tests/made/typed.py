"""Words typed on the command line, and what the program answers, in this process."""

from __future__ import annotations

from functools import cache

from typer import testing
from typer.testing import CliRunner, Result

from greenrota.cli.main import build

if hasattr(
    testing, "_get_command"
):  # it makes thirty commands anew at every call; they are the same for all words
    testing._get_command = cache(testing._get_command)
_program = cache(build)


def typed(*words: str) -> Result:
    """Status, streams and exception of `greenrota` with these words."""
    return CliRunner().invoke(_program(), list(words))
