"""Today on one screen: what is overdue and due, what to pour in all, what comes next, what to look at."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from greenrota.frozen import FrozenDict
from greenrota.rota.answers.contents import Contents, vessel_contents
from greenrota.rota.replay.observed import Seen
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.measured import poured
from greenrota.rota.tasks.task import Task
from greenrota.rota.warning import PlanWarning
from greenrota.views.check.warning import urgent, warnings_text
from greenrota.views.feed.portions import doubtful_counts, to_give
from greenrota.views.tasks import care, visit
from greenrota.views.tasks.agenda import Columns, chosen, day_lines
from greenrota.views.tasks.pour import nutrient_texts
from greenrota.views.tasks.score import CUT_SHORT
from greenrota.views.tasks.watch import magnify, signs
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import display_width, hanging, printable
from greenrota.views.text.table import Column, render_table
from greenrota.views.today.ahead import GO_ON, coming_lines, waiting
from greenrota.views.vessel.observed import seen_lines
from greenrota.views.vessel.ripeness import ripe_text

if TYPE_CHECKING:
    from greenrota.rota.answers.ripeness import RipeDay

_NEXT_DAYS = 3  # our choice: time enough to mix seawater
_AT_THE_HEAD = ("bottle-withheld", "count-low")  # warnings that the first lines of the page are about
_PAGE = 1_000_000  # columns for a file or a pipe: nothing is wrapped
_PLAIN_COLUMNS = 100  # our choice: columns of the tasks where there is no screen
_NONE_RIPE: "Mapping[str, RipeDay]" = FrozenDict()
_INDENT = 2  # of the tasks below their heading; our choice


class _Length(NamedTuple):
    """How much is said: everything at first; what a small screen can not hold is said more briefly."""

    whole_cautions: bool = True
    whole_signs: bool = True
    spaced: bool = True
    vessels: bool = True


# In the order in which a screen that is too small gives things up; our choice.
_LENGTHS = (
    _Length(),
    _Length(whole_cautions=False),
    _Length(whole_cautions=False, whole_signs=False),
    _Length(whole_cautions=False, whole_signs=False, spaced=False),
    _Length(whole_cautions=False, whole_signs=False, spaced=False, vessels=False),
)


class Today(NamedTuple):
    """Everything that pages show of a day of a rota; the page and the JSON are views of it.

    Tasks: `late` are overdue, `due` are of the day itself, `coming` of the next days. `doses_ml` is what the tasks at
    hand take out of each nutrient bottle. `vessels` is what stands in each before the day's work; `seen` are the newest
    observations.
    """

    rota: Rota
    on: date
    late: tuple[Task, ...]
    due: tuple[Task, ...]
    coming: tuple[Task, ...]
    doses_ml: Mapping[str, float]
    vessels: tuple[Contents, ...]
    seen: tuple[Seen, ...]

    @classmethod
    def of(cls, rota: Rota, on: date, seen: Sequence[Seen] = ()) -> "Today":
        """The day of a rota."""
        late = tuple(task for task in rota.tasks if task.id in rota.overdue)
        due = tuple(task for task in chosen(rota, on, on) if task.id not in rota.overdue)
        doses: Counter[str] = Counter()
        for task in (*late, *due):
            if task.on <= on:
                doses.update(dict(poured(task).nutrient_ml))
        coming = tuple(chosen(rota, on + timedelta(days=1), on + timedelta(days=_NEXT_DAYS)))
        return cls(
            rota, on, late, due, coming, FrozenDict(doses), tuple(vessel_contents(rota, on)), tuple(seen)
        )

    @property
    def at_hand(self) -> tuple[Task, ...]:
        """The tasks that are overdue or due."""
        return (*self.late, *self.due)


def today_page(
    rota: Rota,
    on: date,
    width: int | None = None,
    height: int | None = None,
    seen: Sequence[Seen] = (),
    ripe: "Mapping[str, RipeDay]" = _NONE_RIPE,
) -> str:
    """The page of a day; no newline at the end. `seen` are the newest observations of the vessels.

    `ripe` are ripe days by batch that are shown with their range.

    `width` wraps to the screen, `height` is its lines: what does not fit is said more briefly, with the prompt in
    sight; nothing that is due is left out. None (a file or a pipe): everything, nothing wrapped.
    """
    today = Today.of(rota, on, seen)
    for length in _LENGTHS:
        page = _page(today, width, length, ripe)
        if height is None or page.count("\n") + 1 < height:
            break
    return page


def _page(today: Today, width: int | None, length: _Length, ripe: "Mapping[str, RipeDay]") -> str:
    rota, on = today.rota, today.on
    screen = width or _PAGE
    blocks = [
        hanging("", _title(rota, on), width, 2),
        doubtful_counts(rota, width),
        to_give(rota, on, width),
        warnings_text(_warnings(rota), width).splitlines() if on == rota.as_of else [],
        _late(rota, today.late, on, width),
        magnify(rota.inspections, screen, not length.whole_signs),
        _due(today, width),
        _doses(today, screen),
        [f"The next {_NEXT_DAYS} days", *coming_lines(rota, on, today.coming, _NEXT_DAYS, width)],
        _vessels(today, width, ripe) if length.vessels else [],
        ["Last seen", *seen_lines(today.seen, rota.plan.units, width)]
        if today.seen and length.vessels
        else [],
        signs(screen, not length.whole_signs),
        *_cautions(rota, today.at_hand, width, length),
    ]
    return ("\n\n" if length.spaced else "\n").join("\n".join(block) for block in blocks if block)


def _warnings(rota: Rota) -> list[PlanWarning]:
    """What does not wait and is not said at the head of the page already."""
    return [each for each in urgent(rota) if each.code not in _AT_THE_HEAD]


def _cautions(rota: Rota, tasks: Sequence[Task], width: int | None, length: _Length) -> Iterator[list[str]]:
    """The cautions of the tasks in full; what always holds in full on the day of the first start, else in short."""
    if not length.whole_cautions:
        yield care.in_short(tasks, width)
        return
    yield care.day_block(tasks, width).splitlines()
    first_start = next((task for task in rota.tasks if task.kind == "start"), None)
    if not rota.past and first_start in tasks:
        yield care.always_block(tasks, width).splitlines()
    else:
        yield care.always_short(tasks, width)


def _title(rota: Rota, on: date) -> str:
    title = f"{printable(rota.plan.name)}: {day_text(on)}"
    if on < rota.plan.start:
        return f"{title}; the rota begins on {day_text(rota.plan.start)}"
    if on > rota.through:
        return f"{title}; the rota ended on {day_text(rota.through)}, and nothing is logged: {GO_ON}"
    return f"{title}; {CUT_SHORT}" if rota.found.cut_short else title


def _late(rota: Rota, late: Sequence[Task], on: date, width: int | None) -> list[str]:
    """Overdue tasks under the day they were due first; one that waits for a working day says for which."""
    lines = []
    ordered = sorted(late, key=lambda task: rota.overdue[task.id])
    for was_due, of_day in groupby(ordered, key=lambda task: rota.overdue[task.id]):
        for when, tasks in groupby(of_day, key=lambda task: task.on):
            now = "" if when <= on else f", planned for {day_text(when)} now"
            lines += [f"Overdue since {day_text(was_due)}{now}", *_task_lines(rota, list(tasks), width)]
    return lines


def _due(today: Today, width: int | None) -> list[str]:
    rota, on = today.rota, today.on
    lines = _task_lines(rota, today.due, width)
    if not lines:
        late = {name for task in today.late for name in task.vessels}
        lines = waiting(rota, on, today.vessels, late, width) or [
            "  nothing more" if today.late else "  nothing"
        ]
    return ["Due today", *lines]


def _task_lines(rota: Rota, tasks: Sequence[Task], width: int | None) -> list[str]:
    """The tasks as on the agenda, without their days; one line each where there is no screen."""
    without_dates = replace(rota, overdue={})  # since when a task is overdue stands in the heading above
    shown = visit.days(without_dates, tasks)
    columns, room = Columns.of(shown), (width or _PLAIN_COLUMNS) - _INDENT
    return [f"{'':{_INDENT}}{line}".rstrip() for each in shown for line in day_lines(each, room, columns)]


def _doses(today: Today, width: int) -> list[str]:
    """What all doses of the day add up to, so that they can be set out before work begins."""
    parts = nutrient_texts(today.doses_ml, today.rota.plan.units)
    return hanging("", f"In all: {'; '.join(parts)}", width, 2) if parts else []


def _vessels(today: Today, width: int | None, banded: "Mapping[str, RipeDay]") -> list[str]:
    rows, on = [], today.on
    for each in today.vessels:
        ripe = (
            "" if each.ripe_on is None else f"ripe {'since' if each.ripe_on <= on else 'on'} {each.ripe_on}"
        )
        if each.batch in banded:
            ripe = ripe_text(banded[each.batch], on)
        share = f"{each.share_of_ceiling:.0%} of its ceiling"
        rows.append((f"  {each.batch}", amount.millions(each.density_per_ml), share, ripe))
    if not rows:
        return []
    columns = (Column("  batch"), Column("million cells/mL", number=True), Column("that is"), Column(""))
    lines = render_table(columns, rows, width).splitlines()
    if width is not None and any(display_width(line) > width for line in lines):
        lines = [
            line for batch, *rest in rows for line in hanging("", f"{batch}: {', '.join(rest)}", width, 4)
        ]
    return [*hanging("", "How they should stand before today's work", width), *lines]
