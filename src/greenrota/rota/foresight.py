"""Foresight: caveats that show only when a rota is walked through: thin seeding, over-ripe harvests, one home."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from greenrota.culture import inoculum
from greenrota.culture.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.caveat import Caveat
from greenrota.rota.cycle import mean_gap_days
from greenrota.rota.homes import homes
from greenrota.rota.ledger import ledger
from greenrota.rota.ration import usual_ration_ml_per_day
from greenrota.rota.rota import Rota
from greenrota.rota.supplies import runs_dry
from greenrota.rota.tank import feed_caveats
from greenrota.rota.wording import numbered


def foresight(rota: Rota) -> Iterator[Caveat]:
    """Caveats of a walked rota, in the order a person would want them."""
    yield from _seeding(rota)
    yield from _homes(rota)
    yield from _ripeness(rota)
    yield from _ration(rota)
    for code, text in feed_caveats(rota.plan, ledger(rota.plan, rota.forecast.shelf.lots, rota.through)):
        yield Caveat(code, text)
    for nutrient, on in runs_dry(rota.plan, rota.tasks, rota.poured).items():
        yield Caveat("bottle-dry", f"nutrient {nutrient}: the bottle runs dry on {on}")


def _seeding(rota: Rota) -> Iterator[Caveat]:
    for visit in rota.forecast.visits:
        if visit.kind != "start" or visit.after is None:
            continue
        bench = rota.benches[visit.batch.vessel]
        share = visit.after.density_per_ml / bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
        if share < inoculum.MIN_START_SHARE * 0.999:  # a thousandth: the least share itself is not thin
            yield Caveat(
                "starter-thin",
                f"{visit.batch.id} starts at {share:.1%} of its ceiling, under {inoculum.MIN_START_SHARE:.1%}: "
                "slow, and other algae may win; a smaller fill or a denser starter helps",
                visit.batch.vessel,
            )
    for bottle in rota.shelf.bottles.values():
        strain = rota.plan.strains.get(bottle.strain)
        if strain is None:
            continue
        age_days = float((rota.as_of - bottle.filled).days)
        if age_days > 0.0 and inoculum.too_old(age_days, strain.fridge_days):
            yield Caveat(
                "starter-old",
                f"{bottle.id} is {numbered(round(age_days), 'day')} old; "
                f"{strain.name} keeps about {strain.fridge_days:g} days",
            )
    for name in rota.forecast.waiting:
        if _renewed_at_the_end(rota, name):
            continue
        strain_name = rota.benches[name].strain.name
        yield Caveat("vessel-waits", f"{name}: no {strain_name} to start it from before {rota.through}", name)


def _renewed_at_the_end(rota: Rota, vessel: str) -> bool:
    """True for a vessel broken down so late that no open day of the horizon is left to restart it."""
    last = [v.on for v in rota.forecast.visits if v.kind == "renew" and v.batch.vessel == vessel]
    open_days = rota.setting.open_days
    return bool(last) and open_days.on_or_after(last[-1] + timedelta(days=1), rota.through) is None


def _homes(rota: Rota) -> Iterator[Caveat]:
    in_use = {bench.strain.name: bench.strain for bench in rota.benches.values()}
    for name, counts in homes(rota.forecast, rota.standpoint, in_use).items():
        alone = [rota.as_of + timedelta(days=n) for n, homes_then in enumerate(counts) if homes_then < 2]
        if not alone:
            continue
        if counts and max(counts) == 0:
            yield _lost(name, rota)
            continue
        second = next((d for d in _days(rota) if d > alone[0] and counts[(d - rota.as_of).days] >= 2), None)
        when = (
            f"a second is there on {second}"
            if second is not None
            else f"no second follows before {rota.through}"
        )
        yield Caveat(
            "one-home",
            f"{name}: lives in one place only on {numbered(len(alone), 'day')} from {alone[0]}; {when}",
        )


def _lost(strain: str, rota: Rota) -> Caveat:
    """All homes are gone, or all that is left of a strain is suspect."""
    family = {batch.id for batch in rota.shelf.batches.values() if batch.strain == strain}
    family |= {bottle.id for bottle in rota.shelf.bottles.values() if bottle.strain == strain}
    left = [look.subject for look in rota.looks if look.subject in family]
    if left:
        text = f"all that is left is suspect ({', '.join(left)}); look at it before anything is poured away"
        return Caveat("all-suspect", f"{strain}: {text}")
    return Caveat(
        "strain-lost", f"{strain}: nothing of it is alive on the shelf or in the fridge; get a new starter"
    )


def _days(rota: Rota) -> Iterator[date]:
    for n in range((rota.through - rota.as_of).days + 1):
        yield rota.as_of + timedelta(days=n)


def _ripeness(rota: Rota) -> Iterator[Caveat]:
    for choice in rota.forecast.choices:
        over_on, taken = choice.ahead.over_on, choice.taken
        last = taken if taken is not None else rota.through
        if over_on is not None and last > over_on:
            away = any(gone.first <= over_on <= gone.last for gone in rota.plan.away)
            until = f"harvested on {taken}" if taken is not None else "no harvest follows"
            yield Caveat(
                "over-ripe",
                f"{choice.batch.id} is over-ripe from {over_on}{' while away' if away else ''}; {until}",
                choice.batch.vessel,
            )
        elif taken is not None and choice.ahead.ripe_on is not None and taken < choice.ahead.ripe_on:
            yield Caveat(
                "harvest-early",
                f"{choice.batch.id} is harvested on {taken}, before it is ripe on {choice.ahead.ripe_on}",
                choice.batch.vessel,
            )


def _ration(rota: Rota) -> Iterator[Caveat]:
    ration_ml = usual_ration_ml_per_day(rota.plan)
    yield_ml = sustainable_yield_ml_per_day(rota)
    if ration_ml > yield_ml:
        yield Caveat(
            "ration-above-yield",
            f"the rations of {ration_ml:.0f} mL a day are more than the {yield_ml:.0f} mL a day "
            "the vessels can give in the long run",
        )


def sustainable_yield_ml_per_day(rota: Rota) -> float:
    """Feed per day that the production vessels give in steady state, in mL."""
    return sum(
        (1.0 - rota.cycles[name].keep_share)
        * bench.vessel.fill_l
        * ML_PER_L
        / mean_gap_days(rota.cycles[name].days, rota.plan.work.weekdays)
        for name, bench in rota.benches.items()
        if bench.vessel.role == "production" and rota.cycles[name].peak_share > 0.0
    )
