"""Fitting: which of the remembered rotas another may rest on, and which are worth remembering."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import date

from greenrota.rota.earlier.record import NOTHING_LOGGED, EarlierRota

REMEMBERED = 8  # days of which the dates are remembered; our choice: `changes` asks for the last ones


class Fitting:
    """The remembered rotas that fit a logbook.

    One fits if the standing entries up to its day are those of which it was made; which plan it was made of does not
    matter, for its dates were the ones that stood. `digests` are those of `entry_digests`.
    """

    def __init__(self, remembered: Sequence[EarlierRota], digests: Mapping[date, str]) -> None:
        self._days = list(digests)
        self._digests = digests
        fits = [each for each in remembered if each.entries == self.entries_at(each.on)]
        self._fits = sorted(
            fits, key=lambda each: each.on
        )  # those of one day stay in the order of their making

    def entries_at(self, on: date) -> str:
        """The digest of the entries up to and including a day."""
        place = bisect_right(self._days, on)
        return self._digests[self._days[place - 1]] if place else NOTHING_LOGGED

    def same(self, plan: str, on: date) -> EarlierRota | None:
        """What was remembered of the same plan on the same day."""
        return next((each for each in self._fits if (each.plan, each.on) == (plan, on)), None)

    def base(self, as_of: date) -> EarlierRota | None:
        """The newest that a rota as of a day rests on; None if there is none."""
        found = [each for each in self.bases() if each.on <= as_of]
        return found[-1] if found else None

    def bases(self) -> list[EarlierRota]:
        """Those of days with entries and before any, and those with which another plan began to stand.

        A rota that was merely looked at on another day is none, so that the answer does not depend on who looks when.
        """
        found: list[EarlierRota] = []
        for each in self._fits:
            logged = each.on in self._digests or each.entries == NOTHING_LOGGED
            if logged or (found and each.plan != found[-1].plan):
                found.append(each)
        return found


def worth_remembering(
    remembered: Sequence[EarlierRota],
    made: Sequence[EarlierRota],
    digests: Mapping[date, str],
) -> tuple[EarlierRota, ...]:
    """What to remember after a rota: the newest bases, and the rota itself.

    `made` are those made on the way to it, one at least, its own the last. What was made by looking ahead from another
    plan is forgotten, and so is what the search had no time to finish.
    """
    newest = made[-1]
    by_key: dict[tuple[str, date], EarlierRota] = {}
    for each in (*remembered, *made):
        if each.on in digests or each.on <= newest.on or each.plan == newest.plan:
            by_key.pop((each.plan, each.on), None)  # so that the order stays that of their making
            by_key[each.plan, each.on] = each
    whole = [each for each in by_key.values() if not each.cut_short]
    kept = Fitting(whole, digests).bases()[-REMEMBERED:]
    if newest in whole and newest not in kept:
        kept.append(newest)
    return tuple(kept)
