"""One entry of the logbook, and the line it is written as.

`DATE KIND VESSEL key=value ... n=NUMBER # remark`. What is written is read back exactly:
`parse_line(format_entry(entry)) == entry`.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from greenrota.errors import Place, Problem, ProblemsFound, checked_day
from greenrota.logbook import amount, fault
from greenrota.logbook.quoting import Word, encodable, one_clean_line, quoted, split_line
from greenrota.logbook.vocabulary import CAUSES, DEGREES, KEYS, KINDS, OBSERVED, LogKind, Sort, is_kind

Value = str | float | int | datetime.date
NO_VESSEL = "-"

READERS: dict[Sort, Callable[[str], Value | None]] = {
    Sort.VOLUME: amount.read_volume_ml,
    Sort.DENSITY: amount.read_density_per_ml,
    Sort.FIGURE: amount.read_figure,
    Sort.HOURS: amount.read_hours,
    Sort.DATE: amount.read_date,
    Sort.ENTRY: amount.read_running_number,
    Sort.PH: amount.read_ph,
    Sort.GRAVITY: amount.read_gravity,
    Sort.TEMPERATURE: amount.read_temperature_c,
    Sort.DEGREE: lambda text: text if text in DEGREES else None,
    Sort.CAUSE: lambda text: text if text in CAUSES else None,
    Sort.TEXT: lambda text: text if text and encodable(text) else None,
}


@dataclass(frozen=True, slots=True)
class Entry:
    """What was done on one day. `subject` is a vessel, batch or bottle, `-` for none.

    `values` holds (key, value) in the order written: volumes in mL, densities in cells per mL, bare figures
    and entry numbers as numbers, days as dates, the rest as text. `where` is the line it was read from and
    takes no part in comparing.
    """

    on: datetime.date
    kind: LogKind
    subject: str
    values: tuple[tuple[str, Value], ...] = ()
    number: int | None = None
    remark: str = ""
    where: Place = field(default_factory=Place, compare=False, repr=False)

    def volume_ml(self, key: str) -> float | None:
        """The volume under that key in mL, None if not written; KeyError if the key holds no volume."""
        return self._number(key, Sort.VOLUME)

    def density_per_ml(self, key: str) -> float | None:
        """The density under that key in cells per mL, None if not written; KeyError as above."""
        return self._number(key, Sort.DENSITY)

    def figure(self, key: str) -> float | None:
        """The bare number under that key (dose, cells, squares, dilution, light), None if it was not written."""
        return self._number(key, Sort.FIGURE, Sort.HOURS)

    def date(self, key: str) -> datetime.date | None:
        """The day under that key, None if it was not written."""
        value = self._value(key, Sort.DATE)
        return value if isinstance(value, datetime.date) else None

    def text(self, key: str) -> str | None:
        """The text under that key (from, cause, task, reason, text), None if it was not written."""
        value = self._value(key, Sort.TEXT, Sort.CAUSE)
        return value if isinstance(value, str) else None

    def entry_number(self) -> int | None:
        """The number of the entry that a void names, None for every other kind."""
        value = self._value("entry", Sort.ENTRY)
        return value if isinstance(value, int) else None

    def observed(self) -> tuple[tuple[str, str | float], ...]:
        """What was seen, by key: colour, smell, foam, clumping, ph, sg, temperature (in degrees Celsius)."""
        return tuple((k, v) for k, v in self.values if k in OBSERVED and isinstance(v, (str, float)))

    def _number(self, key: str, *sorts: Sort) -> float | None:
        value = self._value(key, *sorts)
        return float(value) if isinstance(value, (int, float)) else None

    def _value(self, key: str, *sorts: Sort) -> Value | None:
        if KEYS[key] not in sorts:
            raise KeyError(f"{key} holds {KEYS[key].value}")
        return dict(self.values).get(key)


def format_entry(entry: Entry) -> str:
    """The line of an entry, without its line end.

    Raises ValueError for a value no line can spell: a negative amount, a remark of two lines.

    >>> format_entry(Entry(datetime.date(2027, 2, 8), "counted", "north", (("density", 9.1e5),), 2))
    '2027-02-08 counted north density=9.1e5/mL n=2'
    """
    words = [entry.on.isoformat(), entry.kind, quoted(entry.subject)]
    words += [f"{key}={_spelled(KEYS[key], value)}" for key, value in entry.values]
    if entry.number is not None:
        words.append(f"n={entry.number}")
    return " ".join(words) + (f" # {_clean(entry.remark)}" if entry.remark else "")


def _clean(remark: str) -> str:
    if not one_clean_line(remark):
        raise ValueError("a remark is one line without control characters")
    return remark


def _spelled(sort: Sort, value: Value) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, datetime.date):
        return value.isoformat()
    if sort is Sort.DENSITY:
        return f"{amount.short(value)}/mL"
    unit = {Sort.VOLUME: "mL", Sort.TEMPERATURE: "degC"}.get(sort, "")
    return f"{amount.plain(value)}{unit}"


def make_entry(
    on: datetime.date,
    kind: str,
    subject: str,
    texts: Iterable[tuple[str, str]],
    place: Callable[[str], Place],
) -> Entry:
    """An entry from values still in their spelling. Raises ProblemsFound with everything that is wrong with it.

    `place` tells where a problem stands: it is asked for "kind", "subject" or the key.

    >>> day = datetime.date(2027, 2, 1)
    >>> make_entry(day, "fed", "north", [("dose", "0.5")], lambda name: Place("--" + name)).figure("dose")
    0.5
    """
    if not is_kind(kind):
        raise ProblemsFound([fault.unknown_kind(place("kind"), kind)])
    rule = KINDS[kind]
    problems: list[Problem] = []
    if not subject or not encodable(subject) or (subject == NO_VESSEL and not rule.subject_free):
        problems.append(fault.bad_subject(place("subject"), kind))
    values: dict[str, Value] = {}
    for key, text in texts:
        value = READERS[KEYS[key]](text) if key in rule.keys else None
        if key not in rule.keys:
            problems.append(fault.unknown_key(place(key), kind, key))
        elif value is None:
            problems.append(fault.unread(place(key), text, KEYS[key]))
        elif key in values:
            problems.append(fault.key_twice(place(key), key))
        else:
            values[key] = value
            if isinstance(value, datetime.date) and value > on:
                problems.append(fault.since_after(place(key)))
    if not problems:
        problems = fault.missing_keys(place("kind"), kind, rule, values)
    if problems:
        raise ProblemsFound(problems)
    return Entry(on, kind, subject, tuple(values.items()))


def entry_of(
    on: datetime.date, kind: str, subject: str, values: Mapping[str, Value], remark: str = ""
) -> Entry:
    """An entry from values as `Entry` holds them, or in the spelling of the logbook; without a running number.

    Volumes in mL, densities in cells per mL, temperatures in degrees Celsius. Raises ProblemsFound with everything
    that is wrong with it, TypeError for an `on` that is no `datetime.date`, ValueError for a remark of two lines.

    >>> entry_of(datetime.date(2027, 2, 8), "counted", "north", {"density": 9.1e5}).density_per_ml("density")
    910000.0
    """
    checked_day("on", on)
    texts = [(key, _as_text(key, value)) for key, value in values.items()]
    return replace(make_entry(on, kind, subject, texts, Place), remark=_clean(remark))


def _as_text(key: str, value: Value) -> str:
    """A value in its spelling; one that has none as it is, which no reader takes."""
    try:
        return str(value) if isinstance(value, str) or key not in KEYS else _spelled(KEYS[key], value)
    except ValueError:
        return str(value)


def parse_line(text: str, line_no: int = 1, file: str = "") -> Entry | list[Problem] | None:
    """The entry on a line, None for a blank line or a remark, or everything that is wrong with the line.

    >>> parse_line("2027-02-09 crashed south cause=overheating n=3").text("cause")
    'overheating'
    """
    where = Place(file, line_no, text)
    words, remark, stop = split_line(where)
    if stop is not None:
        return [stop]
    if not words:
        return None
    if len(words) < 3 or any(word.key is not None for word in words[:3]):
        return [fault.short_line(where)]
    when, kind, subject = words[:3]
    pairs = {"kind": kind, "subject": subject} | {word.key: word for word in words[3:] if word.key}
    on = amount.read_date(when.text)
    problems = _word_problems(words)
    number = _running_number(words[3:], problems)
    texts = [(word.key, word.text) for word in words[3:] if word.key and word.key != "n"]
    try:
        made = make_entry(
            on or datetime.date.max, kind.text, subject.text, texts, lambda name: pairs[name].where
        )
    except ProblemsFound as found:
        return [*problems, *found.problems]
    return problems or replace(made, number=number, remark=remark, where=where)


def number_on(text: str) -> int | None:
    """The running number on a line that may be damaged otherwise; None if there is none to be seen.

    >>> number_on("2027-02-09 crashd south cause=heat n=3")
    3
    """
    words, _, _ = split_line(Place(text=text))
    numbers = [amount.read_running_number(word.text) for word in words if word.key == "n"]
    return numbers[-1] if numbers else None


def _word_problems(words: list[Word]) -> list[Problem]:
    """What is wrong with the words as such: the date, no key=value, a `#` that may belong to a name."""
    problems = []
    if amount.read_date(words[0].text) is None:
        problems.append(fault.unread(words[0].where, words[0].text, Sort.DATE))
    for place, word in enumerate(words):
        if place > 2 and word.key is None:
            problems.append(fault.loose_word(word.where, word.text))
        if word.cut and (place == 2 or KEYS.get(word.key or "") is Sort.TEXT):
            problems.append(fault.glued_hash(word.where))
    return problems


def _running_number(words: list[Word], problems: list[Problem]) -> int | None:
    found = [word for word in words if word.key == "n"]
    number = amount.read_running_number(found[0].text) if found else None
    if len(found) > 1 or (found and number is None):
        problems.append(fault.bad_number(found[-1].where))
    return number
