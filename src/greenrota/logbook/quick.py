"""Quick reading of the lines that the program writes itself; any other line is left to `entry.parse_line`.

A book of years is read on every command, so the plain case goes without looking at single characters. Words are read
once and remembered: the same amounts and days stand on many lines.
"""

from __future__ import annotations

import datetime
import re

from greenrota.errors import Place
from greenrota.logbook.amount import read_date
from greenrota.logbook.entry import NO_VESSEL, READERS, Entry, Value
from greenrota.logbook.fault import missing_keys
from greenrota.logbook.vocabulary import KEYS, KINDS, LogKind, is_kind

_BARE = r"[^\s\"#=\\\x00-\x1f\x7f-\x9f]+"  # \s holds the line separators
_QUOTED = r"\"[^\"\\\x00-\x1f\x7f-\x9f\u2028\u2029]+\""  # without anything that is spelled with a backslash
# Date, kind and subject, pairs, running number: plain words with one space between them, and no remark.
_PLAIN = re.compile(
    rf"([0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}) ([a-z-]+) ({_BARE}|{_QUOTED})((?: [a-z]+=(?:{_BARE}|{_QUOTED}))*?)"
    r"(?: n=([1-9][0-9]{0,8}))?"
)
_PAIR = re.compile(r" ([a-z]+)=(?:\"([^\"]+)\"|(\S+))")


class QuickReader:
    """Reads the plain lines of one file."""

    def __init__(self, file: str = "") -> None:
        self.file = file
        self._days: dict[str, datetime.date | None] = {}
        self._kinds: dict[str, LogKind | None] = {}
        self._tails: dict[tuple[str, str], tuple[tuple[str, Value], ...] | None] = {}

    def read(self, text: str, line_no: int) -> Entry | None:
        """The entry of a plain line; None for any other line, whatever it holds.

        >>> QuickReader().read("2027-02-08 fed north dose=0.5 n=3", 1).figure("dose")
        0.5
        >>> QuickReader().read('2027-02-08 fed "big jar" n=3', 1).subject
        'big jar'
        >>> QuickReader().read('2027-02-08 fed north n=3  # late', 1) is None
        True
        """
        found = _PLAIN.fullmatch(text)
        if found is None:
            return None
        day, kind, subject, tail, number = found.groups()
        if subject[0] == '"':
            subject = subject[1:-1]
        try:
            on = self._days[day]
        except KeyError:
            on = self._days[day] = read_date(day)
        try:
            values = self._tails[kind, tail]
        except KeyError:
            values = self._tails[kind, tail] = self._values(kind, tail)
        if on is None or values is None or (subject == NO_VESSEL and not KINDS[kind].subject_free):  # type: ignore[index]
            return None
        for _, value in values:
            if isinstance(value, datetime.date) and value > on:
                return None
        where = Place(self.file, line_no, text)
        return Entry(on, kind, subject, values, int(number) if number else None, "", where)  # type: ignore[arg-type]

    def _values(self, kind: str, tail: str) -> tuple[tuple[str, Value], ...] | None:
        """The values of a kind of entry; None where something is wrong with them."""
        if not is_kind(kind):
            return None
        rule, values = KINDS[kind], dict[str, Value]()
        for pair in _PAIR.finditer(tail):
            key, text = pair[1], pair[2] or pair[3]
            value = READERS[KEYS[key]](text) if key in rule.keys else None
            if value is None or key in values:
                return None
            values[key] = value
        return None if missing_keys(Place(), kind, rule, values) else tuple(values.items())
