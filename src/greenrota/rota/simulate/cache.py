"""Cache of the effects of actions, so that a search that simulates a plan a thousand times works each out once.

The effect of an action depends only on the frozen record it starts from and on its own figures. It is kept as a
`Trace` under the identity (`id`) of that record and the figures. The trace keeps the record alive, so that no
identity is used twice.
"""

from collections.abc import Callable, Hashable
from typing import NamedTuple, TypeVar, cast

from greenrota.rota.state.state import Batch, Culture, FridgeBottle, HarvestBottle, State


class Trace(NamedTuple):
    """What an action changed in a state. `result` is what it returned, `root` the record it started from."""

    root: object
    cultures: tuple[tuple[str, Culture | None], ...]
    bottles: tuple[tuple[str, FridgeBottle | None], ...]
    batches: tuple[Batch, ...]
    harvests: tuple[HarvestBottle, ...]
    result: object

    def apply_to(self, state: State) -> None:
        """Change a state as the action changed it."""
        for vessel, culture in self.cultures:
            if culture is None:
                del state.cultures[vessel]
            else:
                state.cultures[vessel] = culture
        for name, bottle in self.bottles:
            if bottle is None:
                del state.bottles[name]
            else:
                state.bottles[name] = bottle
                state.filled.setdefault(name, bottle)  # one that was only drawn from is no new filling
        for batch in self.batches:
            state.batches[batch.id] = batch
            state.numbers[batch.vessel] = batch.number
        state.harvests.extend(self.harvests)


Result = TypeVar("Result")


class ActionCache:
    """Traces by what led to them. Lives as long as the plan it was made for.

    `keeps` False: nothing is kept, for a plan so large that it is simulated only once.
    """

    def __init__(self, keeps: bool = True) -> None:
        self._keeps = keeps
        self._traces: dict[Hashable, Trace] = {}

    def forget(self) -> None:
        """Drop all traces: after a search, whose many simulations nobody asks for again."""
        self._traces.clear()

    def do(
        self,
        state: State,
        touched: tuple[str, ...],
        root: object,
        figures: tuple[Hashable, ...],
        act: Callable[[], Result],
    ) -> Result:
        """Do an action on a state, or repeat its known effect.

        No two actions may have the same `root` (the frozen record it starts from) and `figures` (everything else).
        `touched` names every vessel and bottle it may change.
        """
        if not self._keeps:
            return act()
        key = (id(root), *figures)
        trace = self._traces.get(key)
        if trace is None:
            trace = self._traces[key] = _traced(state, touched, root, act)
        else:
            trace.apply_to(state)
        return cast(Result, trace.result)


def _traced(state: State, touched: tuple[str, ...], root: object, act: Callable[[], object]) -> Trace:
    """Do an action for the first time and note what it changed."""
    cultures, bottles, numbers = state.cultures, state.bottles, state.numbers
    before = [(name, cultures.get(name), bottles.get(name), numbers.get(name, 0)) for name in touched]
    harvests = len(state.harvests)
    result = act()
    grown, drawn, opened = [], [], []
    for name, culture, bottle, number in before:  # what is new, other, or gone (None)
        if cultures.get(name) is not culture:
            grown.append((name, cultures.get(name)))
        if bottles.get(name) is not bottle:
            drawn.append((name, bottles.get(name)))
        if numbers.get(name, 0) > number:
            opened.append(cultures[name].batch)
    return Trace(root, tuple(grown), tuple(drawn), tuple(opened), tuple(state.harvests[harvests:]), result)
