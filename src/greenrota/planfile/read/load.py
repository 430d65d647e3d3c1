"""Read a plan file: text or bytes become a `Plan`, or one exception with all problems of the file."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from pydantic import ValidationError

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.planfile.fields import naming
from greenrota.planfile.fields.days import looks_like_a_day, wrong_day
from greenrota.planfile.fields.figure import PERCENT, share_of
from greenrota.planfile.read import build
from greenrota.planfile.read.explain import file_problem, problems
from greenrota.planfile.read.impossible import impossible
from greenrota.planfile.tables.schema import PlanTable
from greenrota.planfile.text.position import Positions
from greenrota.planfile.text.spelling import shown
from greenrota.rota.plan import Plan

LARGEST_BYTES = 1_000_000  # our choice; ten thousand vessels with the needed keys only are smaller

# In one line; our choice, a plan needs 5. The memory that tomllib takes grows with the square of a key's parts.
MOST_DOTS = 100

_AT_LINE = re.compile(r"\(at line (\d+), column (\d+)\)")
_AT_PLACE = re.compile(r" \(at [^)]*\)$")
_CLOCK_BARE = re.compile(r"[0-9]{1,2}:[0-9]{2}")
_UNQUOTED = re.compile(r"\s*([A-Za-z_]+)\s*=\s*([0-9A-Za-z][^\"'#\[{]*?)\s*(?:#.*)?$")


def read_plan_bytes(data: bytes, file: str) -> Plan:
    """The plan in the bytes of a file; `file` is the name that problems show.

    UTF-8 with or without a byte order mark, Unix or Windows line ends.
    Raises ProblemsFound with every problem of the file.
    """
    if len(data) > LARGEST_BYTES:
        what = f"the file has {len(data)} bytes; a plan has at most {LARGEST_BYTES}"
        raise ProblemsFound([file_problem("too-large", file, what, "is this really a plan?")])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        what = f"line {line} is not UTF-8 text"
        raise ProblemsFound([file_problem("not-text", file, what, "save the file as UTF-8")]) from None
    return read_plan(text, file)


def read_plan(text: str, file: str) -> Plan:
    """The plan of a TOML text; `file` is the name that problems show.

    Raises ProblemsFound with every problem of the text, in the order of its lines.
    """
    if "\0" in text:
        what = f"line {text.count(chr(10), 0, text.index(chr(0))) + 1} holds a NUL byte: this is no text file"
        raise ProblemsFound([file_problem("not-text", file, what, "save the file as plain UTF-8 text")])
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST_BYTES:
        what = f"the text is longer than {LARGEST_BYTES} bytes, the most a plan may have"
        raise ProblemsFound([file_problem("too-large", file, what, "is this really a plan?")])
    text = text.replace("\r\n", "\n")
    document = _document(text, file)
    clashes = [*naming.clashes(document), *impossible(document)]
    try:
        tables = PlanTable.model_validate(document, context=naming.gather(document))
    except ValidationError as error:
        errors = error.errors(include_url=False)
    else:
        if not clashes:
            return build.plan(tables, document)
        errors = []
    raise ProblemsFound(problems(errors, clashes, document, Positions(text, file)))


def _document(text: str, file: str) -> dict[str, Any]:
    """The parsed TOML; ProblemsFound with one problem if it cannot be parsed."""
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > MOST_DOTS and not line.lstrip().startswith("#"):
            what = f"line {number} has more than {MOST_DOTS} dots"
            raise ProblemsFound(
                [Problem("toml-syntax", Place(file, number, line), what, "is this really a plan?")]
            )
    try:
        return tomllib.loads(text)
    except RecursionError:
        problem = file_problem(
            "toml-syntax", file, "brackets are nested too deeply", "a plan needs no more than three"
        )
    except tomllib.TOMLDecodeError as error:
        problem = _syntax(str(error), text, file)
    except ValueError:  # Python's own limit on the digits of a number
        problem = file_problem(
            "toml-syntax", file, "a number has thousands of digits", "look for a stuck key"
        )
    raise ProblemsFound([problem])


def _syntax(message: str, text: str, file: str) -> Problem:
    """The problem of an error of tomllib: the line that its message names, and a hint for the usual slips."""
    found = _AT_LINE.search(message)
    lines = text.split("\n")
    number, column = (int(found[1]), int(found[2])) if found else (len(text.rstrip("\n").split("\n")), 0)
    line = lines[number - 1]
    what = "this is not TOML: " + shown(_AT_PLACE.sub("", message), 200)
    hint = _syntax_hint(message, line)
    found_value = _UNQUOTED.match(line)
    if found_value and looks_like_a_day(found_value[2]):
        what, hint = wrong_day(found_value[2])
    first = min(column, len(line) + 1)
    place = Place(file, number, line, first, len(line) + 1 - first if column else 0)
    return Problem("toml-syntax", place, what, hint)


def _syntax_hint(message: str, line: str) -> str:
    if re.search("overwrite|twice|redefin|mutable|more than once", message):
        return "the same key or table stands twice; two vessels are two [[vessel]] tables"
    if found := _UNQUOTED.match(line):
        if percent := PERCENT.fullmatch(found[2]):
            return f"a share is a bare number: {found[1]} = {share_of(percent[1])}"
        if _CLOCK_BARE.fullmatch(found[2]):
            return f'a time of the clock stands in quotes: {found[1]} = "{found[2].zfill(5)}"'
        return f'a quantity or a word stands in quotes: {found[1]} = "{shown(found[2])}"'
    return 'a line is key = value, such as fill = "4 L"; a table is [rota], a list of tables [[vessel]]'
