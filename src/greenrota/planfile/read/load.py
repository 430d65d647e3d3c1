"""Read a plan file: text or bytes become a `Plan`, or one exception with all problems of the file.

What explains problems is loaded only where there are some.
"""

from __future__ import annotations

import tomllib
from typing import Any

from pydantic import ValidationError

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.planfile.fields import naming
from greenrota.planfile.read import build
from greenrota.planfile.read.impossible import impossible
from greenrota.planfile.tables.schema import PlanTable
from greenrota.rota.plan import Plan

LARGEST_BYTES = 1_000_000  # our choice; ten thousand vessels with the needed keys only are smaller

# In one line; our choice, a plan needs 5. The memory that tomllib takes grows with the square of a key's parts.
MOST_DOTS = 100


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
    from greenrota.planfile.read.explain import problems
    from greenrota.planfile.text.position import Positions

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
        from greenrota.planfile.read.syntax import syntax_problem

        problem = syntax_problem(str(error), text, file)
    except ValueError:  # Python's own limit on the digits of a number
        problem = file_problem(
            "toml-syntax", file, "a number has thousands of digits", "look for a stuck key"
        )
    raise ProblemsFound([problem])


def file_problem(code: str, file: str, what: str, hint: str) -> Problem:
    """A problem of the file as a whole."""
    return Problem(code, Place(file), what, hint)
