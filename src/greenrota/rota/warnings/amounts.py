"""Warnings about amounts: rations above what the shelf gives, harvests that nobody eats, consumers that go short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.feed.daily import DailyRations
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.feed.rations import usual_ration_ml_per_day, wants
from greenrota.rota.feed.shortage import coming_days
from greenrota.rota.feed.tally import not_eaten_ml
from greenrota.rota.rota import Rota
from greenrota.rota.state.cycle import mean_gap_days
from greenrota.rota.warning import PlanWarning
from greenrota.rota.wording import numbered

SURPLUS_SHARE = 0.25  # of the harvests that is not eaten, from which it is worth a word; our choice


def amount_warnings(rota: Rota, rations: DailyRations) -> Iterator[PlanWarning]:
    """What the shelf gives beside what is eaten: too little in the long run, or far too much."""
    yield from _ration(rota)
    yield from _surplus(rota, rations)


def _ration(rota: Rota) -> Iterator[PlanWarning]:
    ration_ml = usual_ration_ml_per_day(rota.plan)
    yield_ml = sustainable_yield_ml_per_day(rota)
    if ration_ml > yield_ml:
        yield PlanWarning(
            "ration-above-yield",
            f"the rations of {ration_ml:.0f} mL a day are more than the {yield_ml:.0f} mL a day "
            "the vessels can give in the long run",
        )


def _surplus(rota: Rota, rations: DailyRations) -> Iterator[PlanWarning]:
    """Much of what is harvested is not eaten: how much, and which vessel could be left out."""
    ration_ml = usual_ration_ml_per_day(rota.plan)
    coming = coming_days(rations.days, rota.as_of)
    if ration_ml <= 0.0 or not coming:
        return
    made_ml, spoiled_ml = sum(day.in_ml for day in coming), sum(day.spoiled_ml for day in coming)
    surplus_ml = not_eaten_ml(spoiled_ml, coming[-1].on_hand_ml, rations.keeps_days, ration_ml)
    if surplus_ml <= SURPLUS_SHARE * made_ml:
        return
    text = (
        f"{surplus_ml / ML_PER_L:.1f} L of the {made_ml / ML_PER_L:.1f} L harvested from {coming[0].on} to "
        f"{coming[-1].on} are not eaten"
    )
    yield_ml = sustainable_yield_ml_per_day(rota)
    # One of at least three vessels of a strain, so that it could be spared.
    grown = Counter(bench.strain.name for bench in rota.benches.values())
    spare = (name for name, bench in rota.benches.items() if grown[bench.strain.name] > 2)
    for name in sorted(spare, key=lambda name: -_yield_ml_per_day(rota, name)):
        rest_ml = yield_ml - _yield_ml_per_day(rota, name)
        if rest_ml >= ration_ml:
            text += (
                f"; without {name} the shelf would still give {rest_ml:.0f} mL a day for rations of "
                f"{ration_ml:.0f} mL"
            )
            break
    yield PlanWarning("more-than-eaten", text)


def short_warnings(rota: Rota, rations: DailyRations) -> Iterator[PlanWarning]:
    """Consumers that go short once the first harvest is in, from the day the rota is planned on, or get nothing."""
    coming = coming_days(rations.days, rota.as_of)
    if not coming:
        for name in dict.fromkeys(want.consumer for want in wants(rota.plan)):
            text = f"{name} gets nothing: nothing is harvested for it up to {rota.through}"
            yield PlanWarning("ration-short", text)
    for number, serving in enumerate(coming[0].servings if coming else ()):
        short = [(day.on, day.servings[number].short_ml) for day in coming]
        short = [(on, ml) for on, ml in short if ml > SHORT_ML]
        if short:
            missing_ml = sum(ml for _, ml in short)
            yield PlanWarning(
                "ration-short",
                f"{serving.consumer} goes short on {len(short)} of {numbered(len(coming), 'day')} from {coming[0].on}: "
                f"{missing_ml:.0f} mL in all, first on {short[0][0]}",
            )


def sustainable_yield_ml_per_day(rota: Rota) -> float:
    """Feed per day that the production vessels give in steady state, in mL."""
    return sum(_yield_ml_per_day(rota, name) for name in rota.benches)


def _yield_ml_per_day(rota: Rota, vessel: str) -> float:
    """What one vessel gives in steady state; 0 for a standby vessel or one that washes out."""
    bench, cycle = rota.benches[vessel], rota.cycles[vessel]
    if bench.vessel.role != "production" or cycle.peak_share <= 0.0:
        return 0.0
    gap_days = mean_gap_days(cycle.days, rota.plan.work.weekdays)
    return (1.0 - cycle.keep_share) * bench.vessel.fill_l * ML_PER_L / gap_days
