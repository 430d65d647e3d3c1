"""What a new logbook entry is compared with: the state before it, the entries of its day, the open tasks."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import LogKind
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import Context
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import Culture, State, first_state
from greenrota.rota.tasks.task import Task


class Doubt(NamedTuple):
    """One reason to ask before an entry is written. `code` is stable; `text` names both values that disagree."""

    code: str
    text: str
    hint: str = "is it a slip?"


class Scene(NamedTuple):
    """The state before a new entry.

    `state` is not yet grown to the day of the entry. `held` are the entries before it that no void takes back, by day,
    new ones of the same command included; `written` is the whole book with its voids; `tasks` are the open tasks.
    """

    context: Context
    state: State
    held: Sequence[Entry]
    written: Sequence[Entry]
    tasks: Sequence[Task]

    def bench(self, entry: Entry) -> Bench | None:
        """The bench of the entry's vessel; None if the entry names no vessel of the plan."""
        return self.context.benches.get(entry.subject)

    def culture(self, entry: Entry) -> Culture | None:
        """What stands in the entry's vessel on its day; None if nothing does."""
        bench = self.bench(entry)
        return None if bench is None else self.state.at(bench, entry.on)

    def same_day(self, entry: Entry, kind: LogKind) -> list[Entry]:
        """The entries of a kind (without voided ones) about the same vessel or bottle on the same day."""
        return [e for e in self.held if (e.on, e.kind, e.subject) == (entry.on, kind, entry.subject)]


def scenes(
    context: Context,
    written: Sequence[Entry],
    held: Sequence[Entry],
    fresh: Sequence[Entry],
    tasks: Sequence[Task],
) -> Iterator[tuple[Entry, Scene]]:
    """Each new entry with the state before it, from one replay with the new entries in their place by day."""
    for entry in fresh:
        if entry.kind == "void":  # takes an entry back, whatever the state is
            yield entry, Scene(context, first_state(context.plan), held, written, tasks)
    acting = [entry for entry in fresh if entry.kind != "void"]
    new = {id(entry) for entry in acting}
    order = sorted([*held, *acting], key=lambda entry: entry.on)
    before = [
        first_state(context.plan)
    ]  # the state before order[0], order[1], ...; copied only where it is wanted

    def watch(_: Entry, state: State) -> None:
        wanted = len(before) < len(order) and id(order[len(before)]) in new
        before.append(state.copy() if wanted else before[0])

    replay(context, order, date.max, watch)
    for place, entry in enumerate(order):
        if id(entry) in new:
            yield entry, Scene(context, before[place], order[:place], written, tasks)
