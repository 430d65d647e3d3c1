"""A month as it stands on paper: every text of the page, ready to be set as HTML or PDF."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from greenrota.views.month.corner import Corner, corner, jug, together
from greenrota.views.month.month import Entry, Month, MonthDay
from greenrota.views.tasks import care
from greenrota.views.text.day import dated, month_name, weekday
from greenrota.views.text.lettering import printable

_NARROW = 0.45  # our choice: the width of a weekday without any work, as a share of the others'
LEGEND = (
    "harvest: take out so much, then re-seed with the salt water behind the +. start: so much culture, + salt water. "
    "dose: second nutrient dose. ripe: may be harvested; over-ripe: should have been. !: overdue."
)
LEGEND_IN_BRIEF = LEGEND.replace(
    "ripe: may be harvested; over-ripe: should have been",
    "ripe from now: may be harvested from this day on; over-ripe from now: should have been",
)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a day: the vessel, or those alike (or "clean"), and what is done with its main amount."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetDay:
    """A day: its date and what stands beside it, its kind (see `MonthDay`), its lines, words of care, who is ripe.

    Beside the date stand a word for a day without work and the salt water to mix.
    """

    date: str
    beside: str
    kind: str
    lines: tuple[SheetLine, ...]
    care: str
    ripe: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MonthSheet:
    """The page of a month as texts. `widths` are those of the weekdays."""

    title: str
    note: str
    heads: tuple[str, ...]
    widths: tuple[float, ...]
    weeks: tuple[tuple[SheetDay, ...], ...]
    corner: Corner
    legend: str
    cautions: tuple[str, ...]


def month_sheet(month: Month, brief: bool = False) -> MonthSheet:
    """Everything that stands on the page of a month; `brief` names a ripe vessel on the first of its days alone."""
    rota, last = month.rota, month.last
    return MonthSheet(
        title=printable(f"{rota.plan.name}: {dated(month.first, last)} to {dated(last)}"),
        note=f"as of {dated(rota.as_of, last)}"
        + (f", planned through {dated(rota.through, last)}" if last > rota.through else ""),
        heads=tuple(weekday(day.on) for day in month.weeks[0]),
        widths=tuple(
            _NARROW if all(_is_idle(day) for day in column) else 1.0
            for column in zip(*month.weeks, strict=True)
        ),
        weeks=tuple(
            tuple(_day(month, day, ripe) for day, ripe in zip(week, ripe_in_week, strict=True))
            for week, ripe_in_week in zip(month.weeks, _ripe(month, brief), strict=True)
        ),
        corner=corner(rota),
        legend=LEGEND_IN_BRIEF if brief else LEGEND,
        cautions=tuple(care.in_short(month.tasks)),
    )


def _ripe(month: Month, brief: bool) -> list[list[tuple[str, ...]]]:
    """What every day says of the vessels that stand ripe; in brief, of those that did not stand so the day before."""
    before: Mapping[str, str] = {}
    told: list[list[tuple[str, ...]]] = []
    for week in month.weeks:
        told.append([])
        for day in week:
            by_state: dict[str, list[str]] = {}
            for name, state in day.ripe.items():
                if not brief or before.get(name) != state:
                    by_state.setdefault(state, []).append(printable(name))
            since = " from now" if brief else ""
            told[-1].append(tuple(f"{state}{since}: {', '.join(names)}" for state, names in by_state.items()))
            before = day.ripe
    return told


def _day(month: Month, day: MonthDay, ripe: tuple[str, ...]) -> SheetDay:
    kind = day.kind if day.kind in ("off", "away") else ""
    mix = together(f"mix {jug(day.mix)}, {jug(day.salt)} salt") if day.mix else ""
    return SheetDay(
        date=f"{day.on.day} {month_name(day.on)}"
        if day.on.day == 1 or day.on == month.first
        else f"{day.on.day}",
        beside=" ".join(word for word in (kind, mix) if word),
        kind=day.kind,
        lines=tuple(_lines(day)),
        care=f"care: {day.care}" if day.care else "",
        ripe=ripe,
    )


def _lines(day: MonthDay) -> Iterator[SheetLine]:
    """What is done on a day; vessels one after the other at which the same is done share a line."""
    worked = {entry.vessel for entry in day.entries}
    only_cleaned = [printable(name) for name in day.clean if name not in worked]
    if only_cleaned:
        yield SheetLine("clean", ", ".join(only_cleaned))
    for text, alike in groupby(day.entries, key=lambda entry: _text(day, entry)):
        yield SheetLine(", ".join(printable(entry.vessel) for entry in alike), text)


def _text(day: MonthDay, entry: Entry) -> str:
    words = (*(("clean",) if entry.vessel in day.clean else ()), *entry.words)
    text = f"{', '.join(words)}{'!' if entry.overdue else ''} {jug(entry.amount)}".strip()
    return together(text + (f" + {jug(entry.seawater)}" if entry.seawater else ""))


def _is_idle(day: MonthDay) -> bool:
    return not (day.entries or day.mix)
