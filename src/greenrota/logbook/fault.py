"""The problems of a single entry, one function for each: code, place, what is wrong, what to do."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from greenrota.errors import Place, Problem, nearest
from greenrota.logbook import amount
from greenrota.logbook.vocabulary import CAUSES, DEGREES, KEYS, KINDS, LogKind, Rule, Sort

_SIGHTS: tuple[tuple[str, Callable[[str], object | None]], ...] = (
    ("a volume", amount.read_volume_ml),
    ("a density", amount.read_density_per_ml),
    ("a date", amount.read_date),
    ("a bare number", amount.read_figure),
)


def unread(where: Place, text: str, sort: Sort) -> Problem:
    """A value that is not what its key holds; says what it looks like instead, and suggests a word where one is near.

    >>> unread(Place(), "3mL", Sort.DENSITY).what
    '"3mL" is a volume; a density such as 9.1e5/mL is wanted here'
    """
    seen = next((f" is {name}" for name, read in _SIGHTS if read(text) is not None), " cannot be read")
    code = {Sort.CAUSE: "log-cause", Sort.DATE: "log-date"}.get(sort, "log-value")
    if sort is Sort.DEGREE:
        hint = did_you_mean(text, DEGREES)
    elif sort is Sort.CAUSE:
        hint = did_you_mean(text, CAUSES)
    elif sort is Sort.DATE and re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        seen = " is no day of the calendar"
        hint = f"look at month and day; the years {amount.FIRST_YEAR} to {amount.LAST_YEAR} are taken"
    elif sort is Sort.DATE:
        years = f"{amount.FIRST_YEAR} to {amount.LAST_YEAR}"
        hint = f"a day is written year-month-day, with all zeros, and must be in the calendar, {years}"
    elif "," in text:
        hint = "a decimal point is wanted, not a comma, and no thousands mark"
    else:
        hint = (
            f"an amount is 0 to {amount.LARGEST:g}, with its unit: mL or L for a volume, /mL for a density, "
            "degC for a temperature, none else"
        )
    return Problem(
        code, where, f'"{text}"{seen}; {sort.value} is wanted here', hint, f"{sort.value} is wanted"
    )


def unknown_kind(where: Place, kind: str) -> Problem:
    """A kind of entry that is not known.

    >>> unknown_kind(Place(), "feed").hint
    'did you mean "fed"?'
    """
    return Problem("log-kind", where, f'"{kind}" is no kind of entry', did_you_mean(kind, KINDS))


def unknown_key(where: Place, kind: LogKind, key: str) -> Problem:
    """A key that is not known, or that this kind of entry does not take."""
    keys = sorted(KINDS[kind].keys)
    what = f'"{kind}" takes no {key}=' if key in KEYS else f'"{key}" is no key of the logbook'
    return Problem("log-key", where, what, did_you_mean(key, keys))


def key_twice(where: Place, key: str) -> Problem:
    """A key that stands twice in one entry."""
    return Problem(
        "log-key-twice", where, f"{key}= stands twice in one entry", "leave the right one standing"
    )


def missing_keys(where: Place, kind: str, rule: Rule, keys: Iterable[str]) -> list[Problem]:
    """The keys that the kind must have and that are not there.

    >>> [p.code for p in missing_keys(Place(), "void", KINDS["void"], [])]
    ['log-key-missing']
    """
    found = set(keys)
    if rule.any_of and not found & set(rule.any_of):
        first, *rest = rule.any_of
        what = f'"{kind}" needs {first}=, or one of {", ".join(f"{key}=" for key in rest)}'
        return [Problem("log-key-missing", where, what, f"add {first}= with {KEYS[first].value}")]
    if rule.instead and found.issuperset(rule.instead):
        return []
    others = f", or {' and '.join(f'{key}=' for key in rule.instead)}" if rule.instead else ""
    return [
        Problem(
            "log-key-missing", where, f'"{kind}" needs {key}={others}', f"add {key}= with {KEYS[key].value}"
        )
        for key in rule.required
        if key not in found
    ]


def bad_subject(where: Place, kind: str) -> Problem:
    """An entry of a kind that needs a vessel or bottle and has none."""
    return Problem(
        "log-subject", where, f'"{kind}" needs a vessel or a bottle', "write its name after the kind"
    )


def since_after(where: Place) -> Problem:
    """A crash that is said to have begun after the day it was written down."""
    what = "since= is later than the day of the entry"
    return Problem("log-since", where, what, "since= is the first day on which it may have gone wrong")


def short_line(where: Place) -> Problem:
    """A line without date, kind and vessel."""
    what = "a line says at least when, what and which vessel"
    return Problem("log-line", where, what, "write DATE KIND VESSEL key=value ..., with - for no vessel")


def loose_word(where: Place, text: str) -> Problem:
    """A word behind the vessel that is no key=value."""
    what = f'"{text}" is not of the form key=value'
    return Problem("log-line", where, what, "a name or value with a space in it is put into quotes")


def glued_hash(where: Place) -> Problem:
    """A `#` directly behind a name or text, which may be part of it or begin a remark."""
    what = "a # stands right behind a name, which may be meant as part of it"
    return Problem("log-hash", where, what, "put the name into quotes, or a space in front of the remark")


def bad_number(where: Place) -> Problem:
    """A running number that is not a whole number of 1 or more, or that stands twice."""
    what = "the running number is not one whole number, 1 or above"
    return Problem("log-number", where, what, "n= is left out on a line written by hand")


def did_you_mean(text: str, known: Iterable[str]) -> str:
    """A hint with the nearest known word, or with all of them where none is near.

    >>> did_you_mean("overheat", CAUSES)
    'did you mean "overheating"?'
    """
    words = list(known)
    near = nearest(text, words)
    return f'did you mean "{near}"?' if near is not None else "known are " + ", ".join(words)
