"""The exact chances of a small shelf: every course that its days can take, each with its probability.

The rules of docs/model.md written down once more, for cultures so quick that ages alone decide: nothing is drawn by
chance, no density is followed, and nothing of the package's seasons is used. A state is what every vessel holds and
what stands in the fridge; equal states of a day are merged, so a month of a shelf stays small.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

RARE = 1e-7  # courses of a day less likely than this are left out, and their chances summed up
WAIT_DAYS = 2  # so long an empty vessel waits for one that ripens, as in docs/model.md


class Jar(NamedTuple):
    """What stands in a vessel: the day of its filling or re-seed, the day from which it is ripe, re-seeds so far.

    `shows` is the day on which a contamination comes to light; all that carry one `outbreak` caught it together.
    """

    since: int
    ripe_on: int
    reseeds: int = 0
    on_plan: bool = False
    shows: int | None = None
    outbreak: int | None = None
    suspect: bool = False


class Bottle(NamedTuple):
    """A back-up: the day it was filled, and the outbreak that is in it."""

    filled: int
    outbreak: int | None = None


class Shelf(NamedTuple):
    """The vessels in plan order (None: empty) and the back-up."""

    jars: tuple[Jar | None, ...]
    bottle: Bottle | None


class Night(NamedTuple):
    """Chances of a night: `crash` and `caught` of each vessel, and blows to all as cause: (chance, share killed).

    A contamination shows `hidden_days` after it was caught.
    """

    crash: float = 0.0
    caught: float = 0.0
    blows: Mapping[str, tuple[float, float]] = MappingProxyType({})
    hidden_days: int = 4


class Ripening(NamedTuple):
    """Nights until a culture is ripe: after the first filling, a re-seed, a restart from a vessel, or from a bottle.

    `bottle` maps the age of a bottle to the nights; an age that is missing restarts nothing any more.
    """

    begun: int
    reseeded: int
    refilled: int
    bottle: Mapping[int, int]


@dataclass
class Chain:
    """`harvests` are the planned rows of each day; a vessel that has left them is harvested `every` so many days.

    A back-up is replaced at a harvest from `replaced_after` days on; one restart takes all of it. `bottle` is there on
    the first day; without `banks` none is ever filled.
    """

    harvests: tuple[tuple[int, ...], ...]
    vessels: int
    every: int
    ripening: Ripening
    night: Night
    replaced_after: float = math.inf
    bottle: Bottle | None = None
    banks: bool = False
    lost: float = 0.0
    left_out: float = 0.0
    losses: dict[str, float] = field(default_factory=lambda: defaultdict(float))

    def play(self) -> Chain:
        """Work out the chance that the strain is lost, and the mean number of vessels lost by cause."""
        first = Jar(0, self.ripening.begun, on_plan=True)
        chances = {self.work(Shelf((first,) * self.vessels, self.bottle), (), 0): 1.0}
        for day in range(1, len(self.harvests)):
            mornings: dict[tuple[Shelf, tuple[int, ...]], float] = defaultdict(float)
            for shelf, chance in chances.items():
                waiting = tuple(row for row, jar in enumerate(shelf.jars) if jar is None)
                for after, share in self.fall(shelf, day, chance):
                    mornings[after, waiting] += share
            evenings: dict[Shelf, float] = defaultdict(float)
            for (shelf, waiting), chance in mornings.items():
                if self.is_lost(shelf, day) or self.is_lost(shelf := self.work(shelf, waiting, day), day):
                    self.lost += chance
                else:
                    evenings[shelf] += chance
            chances = {shelf: chance for shelf, chance in evenings.items() if chance > RARE}
            self.left_out += sum(chance for chance in evenings.values() if chance <= RARE)
        assert math.isclose(self.lost + self.left_out + sum(chances.values()), 1.0, rel_tol=1e-9)
        return self

    def is_lost(self, shelf: Shelf, day: int) -> bool:
        """Nothing lives, and no bottle can start a vessel."""
        bottle = shelf.bottle
        starts = bottle is not None and day - bottle.filled in self.ripening.bottle
        return not starts and not any(shelf.jars)

    def fall(self, shelf: Shelf, day: int, chance: float) -> Iterator[tuple[Shelf, float]]:
        """What a night may do, each with its probability: first what was hidden shows, then every vessel's own luck."""
        shown = [row for row, jar in enumerate(shelf.jars) if jar is not None and jar.shows == day]
        caught = {jar.outbreak for row in shown if (jar := shelf.jars[row]) is not None}
        jars = [
            jar._replace(suspect=True) if jar is not None and jar.outbreak in caught else jar
            for jar in shelf.jars
        ]
        for row in shown:
            jars[row] = None
        bottle = shelf.bottle
        if bottle is not None and bottle.outbreak in caught:
            bottle = None
        self.losses["contamination"] += chance * len(shown)
        living = [row for row, jar in enumerate(jars) if jar is not None]
        for cause, (struck, killed) in self.weather().items():
            for lucks in itertools.product(*(self.lucks(jars[row], cause, killed) for row in living)):
                share = chance * struck * math.prod(weight for _, weight in lucks)
                if share == 0.0:
                    continue
                after = list(jars)
                for row, (fate, _) in zip(living, lucks, strict=True):
                    jar = jars[row]
                    if fate == "caught" and jar is not None:
                        after[row] = jar._replace(shows=day + self.night.hidden_days, outbreak=day)
                    elif fate not in ("caught", "lives"):
                        after[row] = None
                        self.losses[fate] += share
                yield Shelf(tuple(after), bottle), share

    def weather(self) -> dict[str, tuple[float, float]]:
        """What may hit all vessels in a night, the calm ("") among it: its chance and the share it kills."""
        calm = 1.0 - sum(chance for chance, _ in self.night.blows.values())
        return {**self.night.blows, "": (calm, 0.0)}

    def lucks(self, jar: Jar | None, blow: str, killed: float) -> list[tuple[str, float]]:
        """What may become of a vessel in a night; one number decides, so it meets its own mishap or the blow.

        One that is contaminated already catches nothing more.
        """
        crash = self.night.crash
        caught = 0.0 if jar is None or jar.shows is not None else self.night.caught
        found = [
            ("crash", crash),
            ("caught", caught),
            (blow, killed),
            ("lives", 1.0 - crash - caught - killed),
        ]
        return [(fate, weight) for fate, weight in found if weight > 0.0]

    def work(self, shelf: Shelf, waiting: tuple[int, ...], day: int) -> Shelf:
        """The day's restarts, then its harvests."""
        planned = [row for row in self.harvests[day] if (jar := shelf.jars[row]) is not None and jar.on_plan]
        due = [
            row
            for row, jar in enumerate(shelf.jars)
            if jar is not None and not jar.on_plan and jar.since <= day - self.every
        ]
        jars, bottle = self.restart(shelf, waiting, {*planned, *due}, day)
        for row in [*planned, *due]:
            jar = jars[row]
            assert jar is not None
            old = bottle is None or day - bottle.filled >= self.replaced_after
            if self.banks and old and not jar.suspect:
                bottle = Bottle(day, jar.outbreak)
            jars[row] = jar._replace(since=day, ripe_on=day + self.ripening.reseeded, reseeds=jar.reseeds + 1)
        return self.alike(Shelf(tuple(jars), bottle), day)

    def alike(self, shelf: Shelf, day: int) -> Shelf:
        """The same shelf without what can no longer make a difference, so that equal courses are merged.

        Outbreaks are numbered -1, -2, ... in the order of the vessels. Who gives first matters only where one of three
        may be contaminated. What is ripe today is ripe, whenever that was.
        """
        names: dict[int | None, int | None] = {None: None}
        every = [jar.outbreak for jar in shelf.jars if jar is not None]
        every += [] if shelf.bottle is None else [shelf.bottle.outbreak]
        for outbreak in every:
            names.setdefault(outbreak, -len(names))
        order = len(shelf.jars) > 2 and self.night.caught > 0.0
        jars = tuple(
            jar
            and jar._replace(
                outbreak=names[jar.outbreak],
                ripe_on=max(jar.ripe_on, day),
                reseeds=jar.reseeds if order else 0,
                since=jar.since if order or not jar.on_plan else 0,
            )
            for jar in shelf.jars
        )
        return Shelf(jars, shelf.bottle and shelf.bottle._replace(outbreak=names[shelf.bottle.outbreak]))

    def restart(
        self, shelf: Shelf, waiting: tuple[int, ...], harvested: set[int], day: int
    ) -> tuple[list[Jar | None], Bottle | None]:
        """Refill those that wait: from what is harvested or ripe, which holds enough for all, else from the bottle."""
        jars, bottle = list(shelf.jars), shelf.bottle
        givers = [
            (row not in harvested, jar.reseeds, jar.since, row)
            for row, jar in enumerate(shelf.jars)
            if jar is not None and not jar.suspect and (row in harvested or jar.ripe_on <= day)
        ]
        if givers:
            giver = shelf.jars[min(givers)[-1]]
            for row in waiting:
                jars[row] = self.filled(
                    day, self.ripening.refilled, None if giver is None else giver.outbreak
                )
            return jars, bottle
        last = min(day + WAIT_DAYS, len(self.harvests) - 1)
        if any(jar is not None and not jar.suspect and jar.ripe_on <= last for jar in shelf.jars):
            return jars, bottle
        nights = None if bottle is None else self.ripening.bottle.get(day - bottle.filled)
        if waiting and bottle is not None and nights is not None:
            jars[waiting[0]] = self.filled(day, nights, bottle.outbreak)
            bottle = None
        return jars, bottle

    def filled(self, day: int, nights: int, outbreak: int | None) -> Jar:
        """A vessel that was filled off the plan; a contamination in the inoculum shows after the hidden days."""
        shows = None if outbreak is None else day + self.night.hidden_days
        return Jar(day, day + nights, shows=shows, outbreak=outbreak)
