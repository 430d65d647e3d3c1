"""How a week goes on pages: the largest type at which it fills one, and its days shared out where none does.

Heights are estimated from the letters of every text, for no browser is at hand; the estimate errs on the high side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil
from typing import NamedTuple

from greenrota.rota.tasks.task import Task
from greenrota.views.paper.page import Paper
from greenrota.views.sheet.sheet_week import Week
from greenrota.views.tasks import care, visit
from greenrota.views.text.lettering import display_width

ASIDE = 0.38  # of the page's width, for rations and counts; our choice
GAP_MM = 5.0  # between both parts; our choice
HINTS = 0.72  # type of hints as a share of the page's; our choice
NOTES_PT = 7.5  # type of the cautions; our choice: they are read in the hand
NAME, REMARK = 0.17, 0.13  # shares of the table's width; our choice
FILLED = 0.97  # share of the page's height that a week fills at least, its rows moved apart; our choice
LARGEST_PT, SMALLEST_PT = 17.0, 9.0  # our choice: readable on a wall, and in the hand at least
# Shares of the page that the estimate may fill, as tried in a browser with a wide font: a whole week, and tasks alone,
# among which names may be long; our choice.
_SPARE = {"all": 0.93, "tasks": 0.78}
# Shares of the type size, measured on a sans-serif of usual width.
_LETTER, _LINE, _FULL = 0.53, 1.25, 0.92  # mean width of a letter, height of a line, how full a line is
_BAND, _ROW, _COUNT = 1.6, 0.28, 2.2  # heights in lines: a day's title, the edge of a row, a row of counts
_HEAD = 3.4  # of the page's title and the heads of its tables, likewise
_BESIDE_EMS = 2.4  # widths of the type that the box and the edges of the fields take
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in


class Part(NamedTuple):
    """What of a week stands on one page, and its type in points.

    `shows` is "all", or where one page does not hold it, "tasks" on the first pages and "tables" (of rations and
    counts) on the last. Those flow on to another page if they must.
    """

    week: Week
    days: tuple[visit.Day, ...]
    tasks: tuple[Task, ...]
    pt: float
    shows: str


def parts_of(week: Week, paper: Paper) -> Iterator[Part]:
    """The pages of a week: one, or at the smallest type as many as it takes."""
    whole = Part(week, week.days, week.tasks, SMALLEST_PT, "all")
    for n in range(round(2 * (LARGEST_PT - SMALLEST_PT)) + 1):
        tried = whole._replace(pt=LARGEST_PT - 0.5 * n)
        if _fits(tried, paper):
            yield tried
            return
    days = list(week.days)
    while days:
        held, days = _held(whole._replace(shows="tasks"), days, paper)
        yield held
    yield whole._replace(days=(), tasks=(), shows="tables")


def _fits(page: Part, paper: Paper) -> bool:
    return _height_mm(page, paper) <= _SPARE[page.shows] * paper.room_mm[1]


def _held(page: Part, days: Sequence[visit.Day], paper: Paper) -> tuple[Part, list[visit.Day]]:
    """A page with as many visits as it holds, at least one, and the days that are left."""
    chunks = [chunk for day in days for chunk in _chunks(day)]
    count = 1
    while (
        count < len(chunks)
        and _height_mm(_with(page, chunks[: count + 1]), paper) <= _SPARE[page.shows] * paper.room_mm[1]
    ):
        count += 1
    return _with(page, chunks[:count]), _joined(chunks[count:])


def _chunks(day: visit.Day) -> Iterator[visit.Day]:
    if day.ready:
        yield day._replace(vessels=())
    for of_vessel in day.vessels:
        yield visit.Day(day.on, (), (of_vessel,))


def _joined(chunks: Iterable[visit.Day]) -> list[visit.Day]:
    days: list[visit.Day] = []
    for chunk in chunks:
        if days and days[-1].on == chunk.on:
            chunk = visit.Day(
                chunk.on, (*days[-1].ready, *chunk.ready), (*days.pop().vessels, *chunk.vessels)
            )
        days.append(chunk)
    return days


def _with(page: Part, chunks: Sequence[visit.Day]) -> Part:
    days = _joined(chunks)
    tasks = [task for day in days for line in day.lines for task in line.tasks]
    return page._replace(days=tuple(days), tasks=tuple(tasks))


def _height_mm(page: Part, paper: Paper) -> float:
    """About how high a page comes out."""
    em_mm = page.pt * _MM_PER_PT
    both = page.shows == "all"
    room_mm = (1.0 - ASIDE) * paper.room_mm[0] - GAP_MM if both else paper.room_mm[0]
    left = sum(_BAND + sum(_line_rows(line, room_mm / em_mm) for line in day.lines) for day in page.days)
    right = _aside_rows(page.week, ASIDE * paper.room_mm[0] / em_mm) if both else 0.0
    note_mm = NOTES_PT * _MM_PER_PT
    across = paper.room_mm[0] / note_mm - 2.0
    foot = sum(_folded(f"{word} {text}", across) for word, text in notes_of(page.tasks))
    return (_HEAD + max(left + 1.3, right) + 0.8) * em_mm * _LINE + (foot + 0.5) * note_mm * _LINE


def notes_of(tasks: Iterable[Task]) -> list[tuple[str, str]]:
    """The cautions of a page, each paragraph behind its word: what always holds, then each word beside the tasks."""
    tasks = list(tasks)
    notes: dict[str, list[str]] = {}
    for each in care.always(tasks):
        notes.setdefault("Always", []).append(care.whole(each))
    for each in care.on_the_day(tasks):
        notes.setdefault(f"care: {care.WORDS[each.key]}", []).append(care.whole(each))
    return [(word, " ".join(texts)) for word, texts in notes.items()]


def _line_rows(line: visit.Line, ems: float) -> float:
    name_ems, text_ems = NAME * ems - 0.4, (1.0 - NAME - REMARK) * ems - _BESIDE_EMS
    name = _folded(f"{line.vessel} batch {line.batch}" if line.batch else line.vessel, name_ems)
    return max(name, _folded(line.whole, text_ems), 1.0) + _ROW


def _aside_rows(week: Week, ems: float) -> float:
    consumer = max((display_width(each.consumer) for each in week.rations), default=0)
    away = 2.5 if any("away" in each.day for each in week.rations) else 0.0
    amount_ems = max(6.0, ems - 8.5 - away - _LETTER * consumer)
    rations = [
        _folded(
            each.amount + " " * bool(each.beside), amount_ems, HINTS * _LETTER * display_width(each.beside)
        )
        + _ROW
        for each in week.rations
    ]
    return sum(rations) + (2.0 if rations else 0.0) + 4.2 + _COUNT * len(week.expected)


def _folded(text: str, ems: float, more_ems: float = 0.0) -> float:
    """Lines that a text, and more of smaller type, takes in so many widths of its type; ends stay partly empty."""
    return float(ceil((display_width(text) * _LETTER + more_ems) / max(1.0, _FULL * ems)))
