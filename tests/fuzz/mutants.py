"""Mutants: plans, logbooks and command lines with one or several things wrong, each told by its number alone."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from seeds import COMMANDS, LOG, PLAN

NASTY_NAMES = (
    "\x1b[2J\x1b]0;gone\x07",
    "\x9b31m",
    "\u202egnitaeh",
    "\u05d0\u05d1\u05d2",
    "\u0634\u0645\u0627\u0644",
    "\U0001f33f\U0001f9ea",
    "../../etc/passwd",
    "a/b\\c",
    "north/1",
    "fridge:north/1",
    "starter:bought",
    "-",
    "--force",
    "--yes",
    "",
    " ",
    "\t",
    "a\u0301" * 40,
    "W" * 5000,
    "\u2028",
    "\ufeff",
    "\x00",
    "{0}%s%n",
    "=1+1",
    "tank",
    "[x]",
    "#",
)
_SPELT = (
    "0 -0 -1 0.0 -0.0 1e309 -1e309 1e-400 nan inf -inf NaN Infinity 1e99 1e-99 0x10 1_000 1,5 .5 5. 1e10 1e22"
)
_EDGES = "2147483648 9223372036854775808 0.000001 4.9e-324 1.7976931348623157e308"
NUMBERS = (*_SPELT.split(), *_EDGES.split(), "9" * 400, "9" * 5000, "1 000", "\u0661\u0662", "\u00bd")
_FAIR = "0.01 0.05 0.1 0.25 0.5 0.9 0.95 1 1.0 2 3 4 5 7 12 14 16 23.5 24 31 35 40 43 60 89 99 365 400 1e3 1e6 1e9"
FAIR_NUMBERS = tuple(_FAIR.split())  # most are taken by one key or another, and so reach the rota
_DAYS = "0001-01-01 9999-12-31 2028-02-29 2027-02-29 2027-13-01 2027-00-00 1970-01-01 2199-12-31 2200-01-01 27-2-1"
DATES = (
    *_DAYS.split(),
    "0000-00-00",
    "2027-02-01T00:00:00Z",
    "2027-02-01 12:00:00",
    "12:00:00",
    '"2027-02-01"',
)
_MEASURES = "psu SG mL L gal kg degF degC /day cells/mL % \u00b5L furlong L**99"
UNITS = tuple(_MEASURES.split())
WORDS = (
    "true",
    "[]",
    "{}",
    '""',
    "''",
    "[[1]]",
    "{a={b=1}}",
    '"""',
    "\\",
    "=",
    "#",
    r'"\ud800"',
    r'"\u0000"',
)
BYTES = (
    b"\x00",
    b"\xff",
    b"\xc3\x28",
    b"\xed\xa0\x80",
    b"\xef\xbb\xbf",
    b"\r",
    b"\r\n",
    b"\x1b[2J",
    b"\n" * 50,
)

_TOKEN = re.compile(r"[A-Za-z_/.]+|[0-9][0-9.e-]*|\"[^\"\n]*\"|\S")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?(?:e[0-9]+)?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_QUOTED = re.compile(r"\"[^\"\n]*\"")


@dataclass(frozen=True)
class Mutant:
    """One input: the plan, the logbook (None: there is none), and the arguments behind `greenrota`."""

    plan: bytes
    log: bytes | None
    arguments: tuple[str, ...]
    told: str


Change = Callable[[random.Random, str], str]


def _put(chance: random.Random, text: str, pattern: re.Pattern[str], instead: str) -> str:
    """One match of a pattern, replaced."""
    found = list(pattern.finditer(text))
    if not found:
        return text + instead
    one = chance.choice(found)
    return text[: one.start()] + instead + text[one.end() :]


def _number(chance: random.Random, text: str) -> str:
    return _put(chance, text, _NUMBER, chance.choice(NUMBERS))


def _fair_number(chance: random.Random, text: str) -> str:
    return _put(chance, text, _NUMBER, chance.choice(FAIR_NUMBERS))


def _fair_day(chance: random.Random, text: str) -> str:
    day = date(2027, 2, 1) + timedelta(days=round(chance.gauss(0.0, 20.0)))
    return _put(chance, text, _DAY, day.isoformat())


def _day(chance: random.Random, text: str) -> str:
    return _put(chance, text, _DAY, chance.choice(DATES))


def _unit(chance: random.Random, text: str) -> str:
    return _put(chance, text, re.compile("|".join(map(re.escape, UNITS[:9]))), chance.choice(UNITS))


def _name(chance: random.Random, text: str) -> str:
    """A nasty name for one quoted text, spelled as TOML can spell it or raw."""
    name = chance.choice(NASTY_NAMES)
    spelled = "".join(f"\\U{ord(c):08x}" for c in name) if chance.random() < 0.5 else name
    return _put(chance, text, _QUOTED, f'"{spelled}"')


def _renamed(chance: random.Random, text: str) -> str:
    """One name that is used in many places, replaced in all of them."""
    old = chance.choice(("north", "south", "bought", "f2", "tetraselmis", "mild"))
    name = chance.choice(NASTY_NAMES)
    return text.replace(old, "".join(f"\\U{ord(c):08x}" for c in name) if chance.random() < 0.7 else name)


def _word(chance: random.Random, text: str) -> str:
    return _put(chance, text, _TOKEN, chance.choice(WORDS))


def _swapped(chance: random.Random, text: str) -> str:
    """Two words change places."""
    found = list(_TOKEN.finditer(text))
    if len(found) < 2:
        return text
    one, other = sorted(chance.sample(found, 2), key=lambda match: match.start())
    middle = text[one.end() : other.start()]
    return text[: one.start()] + other[0] + middle + one[0] + text[other.end() :]


def _lines(chance: random.Random, text: str) -> str:
    """A line dropped, doubled, moved, or cut off; or all of them in another order."""
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    how = chance.randrange(6)
    if how == 0:
        del lines[at]
    elif how == 1:
        lines[at:at] = [lines[at]] * chance.choice((1, 2, 40))
    elif how == 2:
        lines.insert(chance.randrange(len(lines)), lines.pop(at))
    elif how == 3:
        lines[at] = lines[at][: chance.randrange(len(lines[at]) + 1)]
    elif how == 4:
        return "\n".join(lines[:at])
    else:
        chance.shuffle(lines)
    return "\n".join(lines)


def _all_numbers(chance: random.Random, text: str) -> str:
    """Zero, a negative or an enormous figure everywhere."""
    return _NUMBER.sub(chance.choice(("0", "-1", "1e30", "0.001")), text)


def _nested(chance: random.Random, text: str) -> str:
    deep = chance.choice((3, 60, 2000, 30_000))
    shape = chance.choice(
        ("[" * deep + "]" * deep, "[" * deep, "{a=" * deep + "1" + "}" * deep, "a." * deep + "a=1")
    )
    return _put(chance, text, _QUOTED, shape)


TEXT_CHANGES: tuple[Change, ...] = (
    *(_number, _day, _unit, _name, _renamed, _word, _swapped, _lines, _lines, _all_numbers, _nested),
    *(_fair_number, _fair_number, _fair_number, _fair_day, _fair_day),
)


def _bytes_changed(chance: random.Random, data: bytes) -> bytes:
    """Bits flipped, bytes put in or taken out, another line end or another encoding."""
    at = chance.randrange(len(data) + 1)
    how = chance.randrange(7)
    if how == 0 and data:
        flipped = bytearray(data)
        for _ in range(chance.choice((1, 1, 3, 30))):
            flipped[chance.randrange(len(flipped))] ^= 1 << chance.randrange(8)
        return bytes(flipped)
    if how == 1:
        return data[:at] + chance.choice(BYTES) + data[at:]
    if how == 2:
        return data[:at] + data[at + chance.choice((1, 5, 100)) :]
    if how == 3:
        return data.replace(b"\n", chance.choice((b"\r\n", b"\r", b"\n\n", b"\x0b", b"\xc2\x85")))
    if how == 4:
        return b"\xef\xbb\xbf" + data
    if how == 5:
        return data.decode("utf-8", "replace").encode(chance.choice(("utf-16", "utf-32", "utf-7")))
    return data[:at]


def _text_mutant(chance: random.Random, text: str) -> bytes:
    for _ in range(chance.choice((1, 1, 2, 3, 6))):
        text = chance.choice(TEXT_CHANGES)(chance, text)
    data = text.encode("utf-8", "surrogatepass")
    return _bytes_changed(chance, data) if chance.random() < 0.25 else data


def _arguments(chance: random.Random, arguments: tuple[str, ...]) -> tuple[str, ...]:
    """A command line with a word replaced, dropped, doubled, or moved."""
    words = list(arguments)
    for _ in range(chance.choice((1, 1, 2, 3))):
        at = chance.randrange(len(words) + 1)
        how = chance.randrange(6)
        odd = chance.choice(
            (*NASTY_NAMES, *NUMBERS, *DATES, "--on", "--json", "--days", "4 L", "-h", "\udc80", ".")
        )
        odd = odd.replace("\x00", "")  # no system passes a NUL to a program
        if how == 0 and len(words) > 1:
            del words[min(at, len(words) - 1)]
        elif how == 1 and words:
            words[at:at] = [words[min(at, len(words) - 1)]]
        elif how == 2:
            words.insert(at, odd)
        elif how == 3 and len(words) > 1:
            words.insert(at, words.pop(chance.randrange(len(words))))
        elif words:
            word = words[min(at, len(words) - 1)]
            words[min(at, len(words) - 1)] = (
                odd
                if word.startswith(("PLAN", "FOLDER", "-")) or how == 4
                else (_number(chance, word).replace("\x00", ""))
            )
    return tuple(words)


def mutant(number: int) -> Mutant:
    """The mutant of that number: always the same one."""
    chance = random.Random(number)
    arguments = chance.choice(COMMANDS)
    plan, log = PLAN.encode(), None if chance.random() < 0.3 else LOG.encode()
    what = chance.choice(("plan", "plan", "log", "log", "line", "all"))
    if what in ("plan", "all"):
        plan = _text_mutant(chance, PLAN)
    if what in ("log", "all"):
        log = _text_mutant(chance, LOG)
    if what in ("line", "all"):
        arguments = _arguments(chance, arguments)
    return Mutant(plan, log, arguments, f"{number}: {what}, {' '.join(arguments)[:200]!r}")
