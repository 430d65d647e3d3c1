"""Reasons: why a task is done as it is, in one line each, worded from the facts that the simulation recorded."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import assert_never

from greenrota.culture.bench.inoculum import MIN_START_SHARE
from greenrota.culture.growth.broth import ML_PER_L, Broth, bench_ceiling_per_ml, days_to_share
from greenrota.rota.simulate.before_away import Reseeding
from greenrota.rota.simulate.events import Event, FirstFilling, HarvestChoice
from greenrota.rota.simulate.restarts import Giver, Restart
from greenrota.rota.state import donors
from greenrota.rota.state.backups import FRESH_DAYS, BankNeed, BankOrder, BottleFault
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE
from greenrota.rota.state.donors import Source
from greenrota.rota.state.scale_up import is_filling, is_thin
from greenrota.rota.wording import numbered

ROUNDING_DAYS = 1e-9  # a culture ripe at midnight is ripe that day
FAR_DAYS = 3650.0  # our choice: what ripens in more than ten years does not ripen
OF_SUSPECT = "; it is suspect: give none of it to any animal, pour it away unless it is cleared first"


class Reasons:
    """The reason of every event of a simulation; `choices` are its harvests with their projections."""

    def __init__(
        self, benches: Mapping[str, Bench], events: Iterable[Event], choices: Iterable[HarvestChoice]
    ) -> None:
        self._benches = benches
        self._choices = {choice.batch.id: choice for choice in choices}
        self._ways: dict[str, tuple[Reseeding, bool]] = {}  # by the batch harvested; True: broken down
        for event in events:
            if isinstance(event.facts, Reseeding):
                breaks = event.kind == "renew"
                self._ways[event.batch.id if breaks else event.batch.parent] = event.facts, breaks

    def of(self, event: Event) -> str:
        """The reason of one event; "" where nothing is known of it."""
        bench = self._benches[event.batch.vessel]
        match event.facts:
            case None:
                return self._without_facts(event, bench)
            case FirstFilling(from_harvest):
                source = f"the harvest of {event.batch.parent}" if from_harvest else "the starter on hand"
                return f"first filling, from {source}{_of_fill(event, bench)}"
            case Restart():
                return of_restart(event.facts) + _of_fill(event, bench)
            case BankOrder():
                return of_bank(event.facts)
            case Reseeding():
                reason = _of_renewal(event) if event.kind == "renew" else _of_reseed(event, bench)
                return reason + _of_way(event.facts, bench)
            case _:
                assert_never(event.facts)

    def _without_facts(self, event: Event, bench: Bench) -> str:
        """The reason of an event with which nothing more is recorded."""
        choice = self._choices.get(event.batch.id)
        match event.kind:
            case "topup":
                return of_topup(event, bench)
            case "feed":
                return "" if choice is None else of_feed(event, bench, choice.projection.feed_gain)
            case "harvest":
                return "" if choice is None else self._of_harvest(event, bench, choice)
            case "start" | "reseed" | "renew" | "bank":  # by their facts
                return ""
            case _:
                assert_never(event.kind)

    def _of_harvest(self, event: Event, bench: Bench, choice: HarvestChoice) -> str:
        way, breaks = self._ways.get(event.batch.id, (None, False))
        reason = of_harvest(event, bench, choice)
        if breaks and way is not None and way.away is None:
            reason += "; the whole vessel, for it is renewed"
        if way is not None:
            reason += _of_way(way, bench)
        return reason + (OF_SUSPECT if event.barred else "")


def of_topup(event: Event, bench: Bench) -> str:
    """How far a culture is topped up, and how dense it still is."""
    assert event.before is not None and event.after is not None  # a top-up always finds a culture
    before_l, after_l, fill_l = event.before.volume_l, event.after.volume_l, bench.vessel.fill_l
    to = f"to {after_l:.3g} of {fill_l:g} L" if is_filling(bench, after_l) else f"to its {after_l:.3g} L"
    return f"from {before_l:.3g} {to}: grown enough to start there at {_start_share(event.after, bench)} of its ceiling"


def _of_fill(event: Event, bench: Bench) -> str:
    """A first fill that is not the working volume, and a start that is thin all the same; "" for a usual filling."""
    assert event.after is not None
    filled_l, share, text = event.after.volume_l, _start_share(event.after, bench), ""
    if is_filling(bench, filled_l):
        text = f"; a small first fill, {filled_l:.3g} of {bench.vessel.fill_l:g} L, topped up as it grows"
    if not is_thin(bench, event.after):
        return text
    fill = " even in the smallest fill" if text else ""
    return f"{text}; a thin start: {share} of its ceiling{fill}, under {MIN_START_SHARE:.1%}"


def _start_share(broth: Broth, bench: Bench) -> str:
    return f"{broth.density_per_ml / bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l):.1%}"


def of_feed(event: Event, bench: Bench, gain: float) -> str:
    """What a second dose buys; `gain` is how much higher it lifts the ceiling."""
    assert event.before is not None  # a dose always finds a culture
    by = bench.ceiling(event.before).by
    if gain <= 0.0:
        return f"buys nothing, the ceiling is set by the {by}; given because the plan says so"
    return f"lifts the {by} ceiling by {gain:.0%}"


def of_harvest(event: Event, bench: Bench, choice: HarvestChoice) -> str:
    """How ripe the culture is at its harvest, and what made it that day."""
    assert event.before is not None  # a harvest always finds a culture
    top, projection = bench.ceiling_per_ml(event.before), choice.projection
    reason = f"at {event.before.density_per_ml / top if top else 0.0:.0%} of its ceiling"
    if projection.pinned_on is not None:
        near = event.on == projection.pinned_on
        reason += ", on the day the plan sets" if near else ", as near as can be to the day the plan sets"
    elif projection.ripe_on is not None and event.on < projection.ripe_on:
        reason += f", before it is ripe on {projection.ripe_on}"
    elif projection.over_on is not None and event.on >= projection.over_on:
        reason += f", over-ripe since {projection.over_on}"
    return reason


def _of_reseed(event: Event, bench: Bench) -> str:
    share = event.volume_ml / ML_PER_L / bench.vessel.fill_l
    return f"topped up on the {share:.0%} kept back from {event.batch.parent}"


def _of_renewal(event: Event) -> str:
    if event.away is not None:
        return "break down, clean, restart when back"
    return (
        f"re-seeded {numbered(event.batch.reseeds, 'time')}: break down, clean, restart from a younger line"
    )


def _of_way(way: Reseeding, bench: Bench) -> str:
    """What is done before days away, behind another reason; "" where nothing is."""
    if way.away is None:
        return ""
    until = f"away from {way.away.first} to {way.away.last}"
    if way.park:
        return f"; parked in the fridge, {until}"
    text = f"; thinned to {way.keep_l / bench.vessel.fill_l:.0%}"
    if way.light_h is not None:
        text += f" and dimmed to {way.light_h:g} h of light until the next harvest"
    return f"{text}, {until}" + (", though it will be over-ripe all the same" if way.in_vain else "")


def of_bank(order: BankOrder) -> str:
    """What a fridge back-up is filled for."""
    match order.need:
        case BankNeed.LAST_CULTURE:
            return "the only living culture of the strain is about to be broken down"
        case BankNeed.NONE_LEFT:
            return "no back-up of the strain is left in the fridge"
        case BankNeed.FIRST:
            return "first back-up of the strain in the fridge"
        case BankNeed.REPLACES:
            return "replaces " + ", ".join(f"{name}{_of_fault(fault)}" for name, fault in order.replaces)
        case _:
            assert_never(order.need)


def _of_fault(fault: BottleFault | None) -> str:
    match fault:
        case None:
            return ""
        case BottleFault.SUSPECT:
            return ", which is suspect"
        case BottleFault.OLD:
            return " before it is too old"
        case BottleFault.LEAVING:
            return f", older than {numbered(FRESH_DAYS, 'day')} when you leave"
        case BottleFault.DRAWN:
            return ", of which too little for a restart is left"
        case _:
            assert_never(fault)


def of_restart(facts: Restart) -> str:
    """Where the inoculum of a vessel comes from, and, for what is spared or unripe, why nothing better gives."""
    cause = f" after {facts.lost}" if facts.lost else ""
    return f"{'first filling' if facts.first else 'restart'}{cause} from {of_source(facts)}"


def of_source(facts: Restart) -> str:
    """The source of a restart alone, without what made it necessary."""
    source, turn = facts.source, facts.turn
    if facts.bottled is not None:
        kind = "held-back starter" if turn.source is Source.STARTER else "fridge back-up"
        age = numbered((facts.on - facts.bottled).days, "day")
        return f"the {kind}, {age} old; {_no_ripe_vessel(facts)}"
    giver = next(each for each in facts.givers if each.culture.batch.id == source)
    grown = 1.0 / (1.0 + giver.z)
    if turn.source is Source.HARVEST:
        return f"{source}, which is harvested that day at {grown:.0%} of its ceiling"
    if turn.source is Source.RIPE:
        return f"{source}, ripe at {grown:.0%} of its ceiling"
    share = f"{math.floor(grown * 100.0)}% of its ceiling"  # never rounded up to ripe
    no_bottle = "holds enough for a good start" if facts.bottles else "that may give is in the fridge"
    return f"{source}, at {share}; {_no_ripe_vessel(facts)}; no bottle of {facts.strain} {no_bottle}"


def _no_ripe_vessel(facts: Restart) -> str:
    """Why no vessel of the strain gives as a harvest or a ripe one would."""
    strain = facts.strain
    if not facts.kin:
        return f"no other vessel of {strain} lives"
    if not facts.givers:
        return f"every other vessel of {strain} is suspect"
    if any(giver.harvested or giver.z <= donors.RIPE_Z for giver in facts.givers):
        return f"no harvest or ripe vessel of {strain} spares enough that day"
    days = [on for on in (_ripe_on(giver, facts.on) for giver in facts.givers) if on is not None]
    return (
        f"no vessel of {strain} is ripe before {min(days)}"
        if days
        else f"no vessel of {strain} is getting ripe"
    )


def _ripe_on(giver: Giver, on: date) -> date | None:
    """The first day on which a vessel is ripe if it is left as it stands; None if that is not in sight."""
    bench = giver.bench.lit(giver.culture.light_h)
    broth = giver.culture.broth
    days = days_to_share(broth, RIPE_SHARE, bench.ceiling_per_ml(broth), bench.rate_per_day)
    if days > FAR_DAYS:
        return None
    try:
        return on + timedelta(days=math.ceil(days - ROUNDING_DAYS))
    except OverflowError:
        return None
