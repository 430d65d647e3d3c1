"""A month on one screen: weeks below each other, days side by side, a row for every vessel that has something."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from greenrota.views.month.month import OVER_RIPE, Month, MonthDay
from greenrota.views.tasks import care
from greenrota.views.text.day import dated, month_name, weekday
from greenrota.views.text.lettering import display_width, hanging, pad, printable, wrap

_PLAIN_COLUMNS = 80  # our choice: columns where there is no screen
_WIDEST_NAME = 14  # our choice: a longer name is wrapped
_LEAST_CELL = 8  # columns: holds "harvest" and a gap
_MIX = "mix"
_LEGEND = (
    "harvest: and re-seed. (ripe): may be harvested; (over): should have been. dose: second dose. "
    "mix: salt water. off: no working day. !: overdue."
)
_BRIEF = "(over): over-ripe. mix: salt water. !: overdue. Safety: greenrota cautions."
_FEWEST_WEEKS = 4  # our choice: February, the least that is called a month


@dataclass(frozen=True, slots=True)
class _Size:
    """How much is shown: what a screen that is too small cannot hold is left out."""

    weeks: int | None  # None: all
    spaced: bool
    cautions: bool


# In the order in which a screen that is too small gives things up; our choice.
_SIZES = (
    _Size(None, spaced=True, cautions=True),
    _Size(None, spaced=False, cautions=True),
    _Size(None, spaced=False, cautions=False),
    _Size(_FEWEST_WEEKS, spaced=False, cautions=False),
)


def month_text(month: Month, width: int | None = None, height: int | None = None) -> str:
    """The month as text, no newline at the end; `width` and `height` are those of the screen, None for a pipe.

    A screen with too few lines gets no blank lines, then no cautions, then four weeks instead of five or six.
    """
    for size in _SIZES:
        page = _page(month, width or _PLAIN_COLUMNS, size)
        if height is None or page.count("\n") + 1 < height:
            break
    return page


def _page(month: Month, columns: int, size: _Size) -> str:
    names = [printable(name) for name in month.rota.benches]
    lead = min(_WIDEST_NAME, max(len("Feb 2027"), *map(display_width, names))) + 1
    cell = max(_LEAST_CELL, (columns - lead) // 7)
    shown, as_of = month.weeks[: size.weeks], month.rota.as_of
    last = shown[-1][-1].on
    title = f"{month.rota.plan.name}: {dated(month.first, last)} to {dated(last)}, as of {dated(as_of, last)}"
    through = month.rota.through
    if last > through:
        title += f", planned through {dated(through, last)}"
    heads = "".join(pad(weekday(day.on), cell) for day in shown[0])
    weeks = ["\n".join(_week(month, week, lead, cell)) for week in shown]
    foot = hanging("", _LEGEND if size.cautions else _BRIEF, columns, 2)
    if size.cautions:
        foot += care.always_short(month.tasks, columns)
    gap = "\n\n" if size.spaced else "\n"
    top = "\n".join([*hanging("", printable(title), columns, 2), f"{'':{lead}}{heads}".rstrip()])
    return "\n".join([top, gap.join([*weeks, "\n".join(foot)])])


def _week(month: Month, week: tuple[MonthDay, ...], lead: int, cell: int) -> Iterator[str]:
    yield from _row(
        f"{month_name(week[0].on)} {week[0].on.year}", [_date(month, day) for day in week], lead, cell
    )
    for name in month.rota.benches:
        cells = [_vessel(day, name, cell) for day in week]
        if any(cells):
            yield from _row(printable(name), cells, lead, cell)
    if any(day.mix for day in week):
        yield from _row(_MIX, [_metric(day.mix) for day in week], lead, cell)


def _date(month: Month, day: MonthDay) -> str:
    first = f" {month_name(day.on)}" if day.on.day == 1 else ""
    if day.on == month.rota.as_of:
        return f"{day.on.day} now"
    if day.kind == "outside":
        return f"({day.on.day}{first})"
    return f"{day.on.day}{first}{'' if day.kind == 'open' else f' {day.kind}'}"


def _vessel(day: MonthDay, name: str, cell: int) -> str:
    """What a day holds for a vessel: words, with the amount where it fits beside them."""
    for entry in day.entries:
        if entry.vessel == name:
            words = ", ".join(entry.words) + ("!" if entry.overdue else "")
            whole = f"{words} {_metric(entry.amount)}"
            return whole if entry.amount and display_width(whole) < cell else words
    state = day.ripe.get(name, "")
    return "(over)" if state == OVER_RIPE else f"({state})" if state else ""


def _row(name: str, cells: list[str], lead: int, cell: int) -> Iterator[str]:
    parts = [wrap(name, lead - 1), *(wrap(text, cell - 1) for text in cells)]
    for n in range(max(map(len, parts))):
        first, *rest = (part[n] if n < len(part) else "" for part in parts)
        yield (pad(first, lead) + "".join(pad(text, cell) for text in rest)).rstrip()


def _metric(text: str) -> str:
    """An amount without the US units behind it, for which a day has no room."""
    return text.partition(" (")[0]
