"""Memory: deeds already worked out, so that a search that walks a shelf a thousand times works each out once.

A deed is a pure function of the frozen records it starts from. What it did to a shelf is kept as a `Trace` under the
identity of those records and its own figures; the records are kept with it, so that an identity is never reused.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar, cast

from greenrota.rota.shelf import Batch, Bottle, Lot, Shelf, Standing


@dataclass(frozen=True, slots=True)
class Trace:
    """What a deed changed on a shelf. `result` is what it gave back, `roots` the records its key stands for."""

    roots: tuple[object, ...]
    standing: tuple[tuple[str, Standing | None], ...]
    bottles: tuple[tuple[str, Bottle | None], ...]
    batches: tuple[Batch, ...]
    lots: tuple[Lot, ...]
    result: object

    def leave_on(self, shelf: Shelf) -> None:
        """Do to a shelf what the deed did."""
        for vessel, standing in self.standing:
            if standing is None:
                del shelf.standing[vessel]
            else:
                shelf.standing[vessel] = standing
        for name, bottle in self.bottles:
            if bottle is None:
                del shelf.bottles[name]
            else:
                shelf.bottles[name] = bottle
                shelf.filled.setdefault(name, bottle)  # one that was only drawn from is no new filling
        for batch in self.batches:
            shelf.batches[batch.id] = batch
            shelf.numbers[batch.vessel] = batch.number
        shelf.lots.extend(self.lots)


Result = TypeVar("Result")
Record = TypeVar("Record")


class Memory:
    """Traces by what led to them. Lives as long as the plan it was made for.

    `keeps` False: nothing is remembered, for a plan so large that it is walked but once.
    """

    def __init__(self, keeps: bool = True) -> None:
        self._keeps = keeps
        self._traces: dict[Hashable, Trace] = {}

    def do(
        self,
        shelf: Shelf,
        touched: tuple[str, ...],
        roots: tuple[object, ...],
        figures: tuple[Hashable, ...],
        act: Callable[[], Result],
    ) -> Result:
        """Do a deed on a shelf, or again what it did the last time.

        `roots` (the frozen records it starts from) and `figures` (everything else) must tell it from every other deed;
        `touched` names every vessel and bottle it may change.
        """
        if not self._keeps:
            return act()
        key = (*map(id, roots), *figures)
        trace = self._traces.get(key)
        if trace is None:
            trace = self._traces[key] = _traced(shelf, touched, roots, act)
        else:
            trace.leave_on(shelf)
        return cast(Result, trace.result)


def _traced(
    shelf: Shelf, touched: tuple[str, ...], roots: tuple[object, ...], act: Callable[[], object]
) -> Trace:
    """Do a deed for the first time and note what it changed."""
    standing = [shelf.standing.get(name) for name in touched]
    bottles = [shelf.bottles.get(name) for name in touched]
    numbers = [shelf.numbers.get(name, 0) for name in touched]
    lots = len(shelf.lots)
    result = act()
    opened = [
        name for name, number in zip(touched, numbers, strict=True) if shelf.numbers.get(name, 0) > number
    ]
    return Trace(
        roots=roots,
        standing=_changed(touched, standing, shelf.standing),
        bottles=_changed(touched, bottles, shelf.bottles),
        batches=tuple(shelf.standing[name].batch for name in opened),
        lots=tuple(shelf.lots[lots:]),
        result=result,
    )


def _changed(
    names: tuple[str, ...], before: Sequence[Record | None], after: Mapping[str, Record]
) -> tuple[tuple[str, Record | None], ...]:
    """The entries that are new, other, or gone (None)."""
    return tuple(
        (name, after.get(name)) for name, old in zip(names, before, strict=True) if after.get(name) is not old
    )
