"""Where every key of a TOML text stands, so that a problem can show its line.

The text must have passed `tomllib`: this scanner only finds places, in one pass, and reads no values. A path names a
value in the document that `tomllib` makes: `("vessel", 2, "fill")` is `fill` in the third `[[vessel]]`.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from typing import NamedTuple

from greenrota.errors import Place

Path = tuple[str | int, ...]

DEEPEST = 8  # levels of nesting that get places of their own; our choice, a plan needs 4

_BLANK = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE = re.compile(r"[^\s,\]}#]+(?: [0-9]{2}:[0-9:.Zz+-]+)?")
_BETWEEN = re.compile(r"""[^\[\]{}"'#]+""")


class Span(NamedTuple):
    """Offsets in the text where a key and its value begin and end. For a table both are its header."""

    key_from: int
    key_to: int
    value_from: int
    value_to: int


class Positions:
    """The place of every key of one text; `file` is the name in those places. Lines must end in "\\n".

    >>> str(Positions("[room]\\n\\ntemperature = 5\\n", "plan.toml").of_value(("room", "temperature")))
    'plan.toml:3'
    """

    def __init__(self, text: str, file: str) -> None:
        self._text, self._file = text, file
        self._starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self._spans: dict[Path, Span] = {}
        self._counts: dict[Path, int] = {}
        self._scan()

    def of_key(self, path: Path) -> Place:
        """The key itself, or the nearest table around it that stands in the file."""
        span = self._nearest(path)
        return self._place(span.key_from, span.key_to) if span else Place(self._file)

    def of_value(self, path: Path) -> Place:
        """The value of a key, or the nearest table around it that stands in the file."""
        span = self._nearest(path)
        return self._place(span.value_from, span.value_to) if span else Place(self._file)

    def _nearest(self, path: Path) -> Span | None:
        while path:
            if span := self._spans.get(path):
                return span
            path = path[:-1]
        return None

    def _place(self, start: int, end: int) -> Place:
        line = bisect_right(self._starts, start)
        first = self._starts[line - 1]
        last = self._starts[line] - 1 if line < len(self._starts) else len(self._text)
        width = max(1, min(end, last) - start)
        return Place(self._file, line, self._text[first:last], start - first + 1, width)

    def _scan(self) -> None:
        at, table = 0, ()
        path: Path = table
        while (at := _end(_BLANK, self._text, at)) < len(self._text):
            at, path = self._header(at) if self._text[at] == "[" else (self._pair(at, path), path)

    def _header(self, at: int) -> tuple[int, Path]:
        many = self._text.startswith("[[", at)
        parts, end = self._key(at + (2 if many else 1))
        parts, end = parts[:DEEPEST], end + (2 if many else 1)
        path: Path = ()
        for number, part in enumerate(parts, start=1):
            path = (*path, part)
            if number == len(parts) and many:
                self._spans.setdefault(path, Span(at, end, at, end))
                self._counts[path] = self._counts.get(path, 0) + 1
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        self._spans.setdefault(path, Span(at, end, at, end))
        return end, path

    def _pair(self, at: int, table: Path) -> int:
        """Note the places of the `key = value` that starts at `at`; returns the offset behind it."""
        parts, end = self._key(at)
        start = _end(_SPACE, self._text, end + 1)  # behind the "="
        path = (*table, *parts)
        behind = self._value(start, path)
        key_to = len(self._text[at:end].rstrip(" \t")) + at
        for depth in range(len(table) + 1, min(len(path), DEEPEST) + 1):
            self._spans.setdefault(path[:depth], Span(at, key_to, start, behind))
        return behind

    def _key(self, at: int) -> tuple[list[str], int]:
        """The parts of the dotted key at `at`, and the offset of what follows it and the blanks behind it."""
        parts: list[str] = []
        while True:
            found = _KEY.match(self._text, _end(_SPACE, self._text, at))
            if found is None:
                raise ValueError(f"no key at offset {at}: the text was not checked by tomllib")
            word = found[0]
            parts.append(tomllib.loads(f"key = {word}")["key"] if word[0] in "\"'" else word)
            at = _end(_SPACE, self._text, found.end())
            if not self._text.startswith(".", at):
                return parts, at
            at += 1

    def _value(self, at: int, path: Path) -> int:
        """Note the places inside the value that starts at `at`; returns the offset behind it."""
        opening = self._text[at]
        if opening not in "[{":
            return _end(_STRING if opening in "\"'" else _BARE, self._text, at)
        if len(path) >= DEEPEST:
            return self._skip(at)
        at, number = _end(_BLANK, self._text, at + 1), 0
        while self._text[at] not in "]}":
            if opening == "[":
                item, start = (*path, number), at
                at, number = self._value(at, item), number + 1
                self._spans.setdefault(item, Span(start, at, start, at))
            else:
                at = self._pair(at, path)
            at = _end(_BLANK, self._text, at)
            if self._text[at] == ",":
                at = _end(_BLANK, self._text, at + 1)
        return at + 1

    def _skip(self, at: int) -> int:
        """The offset behind the list or table that opens at `at`; nothing inside it is noted."""
        depth = 0
        while True:
            sign = self._text[at]
            if sign in "[]{}":
                depth, at = depth + (1 if sign in "[{" else -1), at + 1
                if depth == 0:
                    return at
            elif sign == "#":
                at = _end(_BLANK, self._text, at)
            else:
                at = _end(_STRING if sign in "\"'" else _BETWEEN, self._text, at)


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at + 1
