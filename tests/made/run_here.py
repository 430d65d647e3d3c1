"""The whole program in this process: as a run of its own in a folder, without a terminal, and quicker to start."""

from __future__ import annotations

import contextlib
import io
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from greenrota.cli.main import main


@dataclass(frozen=True)
class Done:
    """How a run ended, and what it wrote, byte for byte."""

    returncode: int
    out: bytes
    err: bytes

    @property
    def stdout(self) -> str:
        return self.out.decode("utf-8")

    @property
    def stderr(self) -> str:
        return self.err.decode("utf-8")


def run_here(folder: Path, *words: str) -> Done:
    """One run of `greenrota` with these words in a folder."""
    out, err = io.BytesIO(), io.BytesIO()
    status: object = 0
    with (
        contextlib.chdir(folder),
        patch.object(sys, "argv", ["greenrota", *words]),
        patch.object(sys, "stdin", io.StringIO()),
        patch.object(sys, "stdout", io.TextIOWrapper(out, "utf-8", newline="")),
        patch.object(sys, "stderr", io.TextIOWrapper(err, "utf-8", newline="")),
    ):
        try:
            main()
        except SystemExit as end:
            status = end.code or 0
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        return Done(int(str(status)), out.getvalue(), err.getvalue())
