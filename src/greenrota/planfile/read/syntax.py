"""What is wrong with a text that is no TOML, and what was probably meant."""

from __future__ import annotations

import re

from greenrota.errors import Place, Problem
from greenrota.planfile.fields.days import looks_like_a_day, wrong_day
from greenrota.planfile.fields.figure import PERCENT, share_of
from greenrota.planfile.text.spelling import shown

_AT_LINE = re.compile(r"\(at line (\d+), column (\d+)\)")
_AT_PLACE = re.compile(r" \(at [^)]*\)$")
_CLOCK_BARE = re.compile(r"[0-9]{1,2}:[0-9]{2}")
_UNQUOTED = re.compile(r"\s*([A-Za-z_]+)\s*=\s*([0-9A-Za-z][^\"'#\[{]*?)\s*(?:#.*)?$")


def syntax_problem(message: str, text: str, file: str) -> Problem:
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
        if percent := re.fullmatch(PERCENT, found[2]):
            return f"a share is a bare number: {found[1]} = {share_of(percent[1])}"
        if _CLOCK_BARE.fullmatch(found[2]):
            return f'a time of the clock stands in quotes: {found[1]} = "{found[2].zfill(5)}"'
        return f'a quantity or a word stands in quotes: {found[1]} = "{shown(found[2])}"'
    return 'a line is key = value, such as fill = "4 L"; a table is [rota], a list of tables [[vessel]]'
