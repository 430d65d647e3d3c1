"""Run the console blocks of a page of the docs, and compare or rewrite what they show.

A page is run from top to bottom in a folder of its own that holds a copy of `examples/`, on a screen of 80 columns:

- a fence "console" holds commands (`$ greenrota ...`, `$ cat FILE`, `$ cp FROM TO`), each with what it prints;
- a fence "toml FILE" or "text FILE" is written into FILE, one with "add=FILE" is added at its end.

A table that is to be read as a table stands between `<!-- table: greenrota ... --markdown -->` and `<!-- end -->`;
with `drop=TEXT` before the colon, rows with TEXT are left out, and the page says so.

Words behind "console" say what is left out of the output (a line with only an ellipsis stands for it) and what status
is expected: `from="TEXT"` and `until="TEXT"` start with and end before the first line with TEXT, `lines=1-12,20-22`
picks lines of what is left, `status=1`. The clock is set to the day of --on, else to one far off: a page that depends
on the day says so.

Compare: pytest tests/docs. Rewrite: python tests/docs/console.py --write docs/first-rotation.md
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import re
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from unittest.mock import patch

from greenrota.cli.main import main as greenrota

TREE = Path(__file__).parents[2]
PAGES = (TREE / "README.md", *sorted((TREE / "docs").rglob("*.md")))
SCREEN = {"COLUMNS": "80", "LINES": "50", "NO_COLOR": "1", "TERM": "dumb"}
NOTHING_FOUND_BEFORE = {"GREENROTA_CACHE": ""}
FAR_OFF = date(2041, 1, 1)  # what the clock says where no day is given: nothing on a page may depend on it
HOME = "/home/you/shelf"  # how a page names the folder it is run in
LEFT_OUT = "…"
_FENCE = re.compile(
    r"^```(?P<what>console|toml|text)\b[ ]*(?P<words>.*)\n(?P<body>(?s:.*?))^```$", re.MULTILINE
)
_TABLE = re.compile(
    r"^<!-- table(?: drop=(?P<drop>\S+))?: (?P<command>.+) -->\n(?s:.*?)^<!-- end -->$", re.MULTILINE
)


@dataclass(frozen=True)
class Wanted:
    """What a console fence says about the output of its commands."""

    start: str | None
    until: str | None
    lines: tuple[tuple[int, int], ...]
    status: int

    @classmethod
    def of(cls, words: str) -> Wanted:
        said = dict(word.split("=", 1) for word in shlex.split(words))
        unknown = set(said) - {"from", "until", "lines", "status"}
        if unknown:
            raise ValueError(f"a console fence knows no {', '.join(sorted(unknown))}")
        ranges = [part.split("-") for part in said.get("lines", "").split(",") if part]
        return cls(
            said.get("from"),
            said.get("until"),
            tuple((int(ends[0]), int(ends[-1])) for ends in ranges),
            int(said.get("status", "0")),
        )

    @property
    def leaves_out(self) -> bool:
        """True when not all of the output is shown."""
        return bool(self.start or self.until or self.lines)

    def shown(self, printed: str) -> list[str]:
        """The lines that the page shows, with a mark for each gap.

        >>> Wanted.of('lines=2-3').shown("a\\nb\\nc\\nd\\n")
        ['…', 'b', 'c', '…']
        """
        lines = [line.rstrip() for line in printed.rstrip("\n").split("\n")] if printed.strip() else []
        first = 0 if self.start is None else _line_with(lines, self.start)
        last = len(lines) if self.until is None else _line_with(lines, self.until)
        kept = set(range(first, last))
        if self.lines:
            kept &= {first + n - 1 for low, high in self.lines for n in range(low, high + 1)}
        shown: list[str] = []
        for number, line in enumerate(lines):
            if number in kept:
                shown.append(line)
            elif shown[-1:] != [LEFT_OUT]:
                shown.append(LEFT_OUT)
        return shown


def _line_with(lines: list[str], text: str) -> int:
    for number, line in enumerate(lines):
        if text in line:
            return number
    raise ValueError(f"no line with {text!r} in what was printed:\n" + "\n".join(lines))


class Screen(io.StringIO):
    """A terminal that keeps what is printed on it."""

    encoding = "utf-8"  # what the program writes for

    def isatty(self) -> bool:
        return True


class Aside(io.StringIO):
    """What goes to stderr: shown on the screen in its place, but no terminal, for a progress bar tells the time."""

    encoding = "utf-8"  # what the program writes for

    def __init__(self, screen: Screen) -> None:
        super().__init__()
        self._screen = screen

    def write(self, text: str) -> int:
        return self._screen.write(text)


def refreshed(page: str) -> str:
    """The page with the output that its commands give now. Raises ValueError where a command can not be run."""
    with _folder():
        return _TABLE.sub(_tabled, _FENCE.sub(_again, page))


def _tabled(table: re.Match[str]) -> str:
    printed, status = run(table["command"])
    if status:
        raise ValueError(f"{table['command']!r} ended with {status}:\n{printed}")
    rows = [row for row in printed.splitlines() if row.startswith("|")]
    kept = [row for row in rows if table["drop"] is None or f"| {table['drop']} |" not in row]
    head, tail = table[0].split("\n", 1)[0], "<!-- end -->"
    return "\n".join([head, "", *kept, "", tail])


def _again(fence: re.Match[str]) -> str:
    words, body = fence["words"], fence["body"]
    if fence["what"] != "console":
        _write(words, body)
        return fence[0]
    wanted = Wanted.of(words)
    lines: list[str] = []
    if wanted.leaves_out and len(commands(body)) > 1:
        raise ValueError(f"a block that leaves something out has one command:\n{body}")
    for command in commands(body):
        printed, status = run(command)
        if status != wanted.status:
            raise ValueError(f"{command!r} ended with {status}, not {wanted.status}:\n{printed}")
        lines += [f"$ {command}", *wanted.shown(printed)]
    return "\n".join([f"```console {words}".rstrip(), *lines, "```"])


def commands(body: str) -> list[str]:
    """The commands of a console block, in order."""
    found = [line.removeprefix("$ ") for line in body.splitlines() if line.startswith("$ ")]
    if not found:
        raise ValueError(f"a console block without a command:\n{body}")
    return found


def run(command: str) -> tuple[str, int]:
    """What a command prints on a screen, and its exit status. No dates are taken that were found before."""
    name, *rest = shlex.split(command)
    if name == "cat":
        return "".join(Path(file).read_text(encoding="utf-8") for file in rest), 0
    if name == "cp":
        shutil.copyfile(rest[0], rest[1])
        return "", 0
    if name != "greenrota":
        raise ValueError(f"{command!r}: a page runs greenrota, cat and cp only")
    with patch.dict(os.environ, NOTHING_FOUND_BEFORE):
        return _greenrota(rest)


def _greenrota(words: list[str]) -> tuple[str, int]:
    screen = Screen()
    status: object = 0
    day = date.fromisoformat(words[words.index("--on") + 1]) if "--on" in words else FAR_OFF
    with (
        patch.object(sys, "argv", ["greenrota", *words]),
        patch("greenrota.cli.system.clock.today", lambda: day),
        contextlib.redirect_stdout(screen),
        contextlib.redirect_stderr(Aside(screen)),
    ):
        try:
            greenrota()
        except SystemExit as end:
            status = end.code or 0
    return screen.getvalue().replace(str(Path.cwd()), HOME), int(str(status))


def _write(words: str, body: str) -> None:
    """Write a block into the file that is named; a block without a name is only to be read."""
    if words.startswith("add="):
        file = Path(words.removeprefix("add="))
        gap = "\n" if file.suffix == ".toml" else ""
        file.write_text(file.read_text(encoding="utf-8") + gap + body, encoding="utf-8")
    elif words:
        Path(words).write_text(body, encoding="utf-8")


@contextmanager
def _folder() -> Iterator[None]:
    """A fresh folder with the examples in it, as the working folder, with an 80-column screen."""
    with tempfile.TemporaryDirectory() as made, patch.dict(os.environ, SCREEN):
        shutil.copytree(TREE / "examples", Path(made) / "examples")
        with contextlib.chdir(made):
            yield


def main() -> None:
    """Rewrite the pages that are named, or all of them."""
    parser = argparse.ArgumentParser(description="Run the console blocks of pages.")
    parser.add_argument("--write", action="store_true", help="rewrite what has changed")
    parser.add_argument("pages", nargs="*", type=Path, help="pages; default: README.md and all of docs")
    asked = parser.parse_args()
    stale = False
    for page in asked.pages or PAGES:
        old = page.read_text(encoding="utf-8")
        new = refreshed(old)
        if new != old:
            stale = True
            print(f"{page}: {'rewritten' if asked.write else 'differs'}")
            if asked.write:
                page.write_text(new, encoding="utf-8")
    sys.exit(int(stale and not asked.write))


if __name__ == "__main__":
    main()
