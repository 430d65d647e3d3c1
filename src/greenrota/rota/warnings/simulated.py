"""Warnings that only a simulated rota shows: thin starts, over-ripe harvests, one living place, bottles withheld."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta

from greenrota.culture.bench import inoculum
from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.feed.tank import ration_warnings
from greenrota.rota.rota import Rota
from greenrota.rota.search.homes import homes
from greenrota.rota.state import backups
from greenrota.rota.state.scale_up import is_thin
from greenrota.rota.tasks.supplies import runs_dry
from greenrota.rota.warning import PlanWarning
from greenrota.rota.warnings.amounts import amount_warnings, short_warnings
from greenrota.rota.wording import numbered


def simulated_warnings(rota: Rota) -> Iterator[PlanWarning]:
    """Warnings of a simulated rota, in the order a person would want them."""
    yield from _seeding(rota)
    yield from _backups(rota)
    yield from _homes(rota)
    yield from _ripeness(rota)
    rations = rota.rations()
    yield from amount_warnings(rota, rations)
    yield from _withheld(rota)
    yield from _doubtful_counts(rota)
    yield from short_warnings(rota, rations)
    for code, text in ration_warnings(rota.plan, rations):
        yield PlanWarning(code, text)
    for nutrient, on in runs_dry(rota.plan, rota.tasks, rota.poured).items():
        yield PlanWarning("bottle-dry", f"nutrient {nutrient}: the bottle runs dry on {on}")


def _seeding(rota: Rota) -> Iterator[PlanWarning]:
    for event in rota.simulation.events:
        if event.kind != "start" or event.after is None:
            continue
        bench = rota.benches[event.batch.vessel]
        if is_thin(bench, event.after):
            share = event.after.density_per_ml / bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
            yield PlanWarning(
                "starter-thin",
                f"{event.batch.id} starts at {share:.1%} of its ceiling, under {inoculum.MIN_START_SHARE:.1%}: "
                "slow, and other algae may win; a denser starter or more of it helps",
                event.batch.vessel,
            )
    for bottle in rota.state.bottles.values():
        strain = rota.plan.strains.get(bottle.strain)
        if strain is None:
            continue
        age_days = float((rota.as_of - bottle.filled).days)
        if age_days > 0.0 and inoculum.too_old(age_days, strain.fridge_days):
            yield PlanWarning(
                "starter-old",
                f"{bottle.id} is {numbered(round(age_days), 'day')} old; "
                f"{strain.name} keeps about {strain.fridge_days:g} days",
            )
    renewed = {v.batch.vessel: v.on for v in rota.simulation.events if v.kind == "renew"}
    for name in rota.simulation.waiting:
        if name in renewed and _is_too_late(rota, renewed[name]):
            continue
        strain_name = rota.benches[name].strain.name
        yield PlanWarning(
            "vessel-waits", f"{name}: no {strain_name} to start it from before {rota.through}", name
        )


def _is_too_late(rota: Rota, renewed: date) -> bool:
    """True for a vessel broken down on a day so late that no open day of the horizon is left to restart it."""
    return rota.context.open_days.on_or_after(renewed + timedelta(days=1), rota.through) is None


def _backups(rota: Rota) -> Iterator[PlanWarning]:
    """Strains whose back-up will be too small for a good restart by the time it is replaced."""
    warned: set[str] = set()
    for event in rota.simulation.events:
        if event.kind != "bank" or event.before is None or event.batch.strain in warned:
            continue
        strain = rota.plan.strains.get(event.batch.strain)
        if strain is None:
            continue
        age_days = backups.REFRESH_SHARE * strain.fridge_days
        cells = event.volume_ml * event.before.density_per_ml
        least = backups.least_cells(rota.benches, strain.name)
        if cells * inoculum.fridge_share_alive(age_days, strain.fridge_days) >= least:
            continue
        warned.add(event.batch.strain)
        yield PlanWarning(
            "backup-small",
            f"{strain.name}: a back-up of {event.volume_ml / ML_PER_L:.3g} L restarts no vessel well when it is "
            f"{numbered(round(age_days), 'day')} old{_large_enough(least, event.before.density_per_ml)}",
        )


def _large_enough(least_cells: float, density_per_ml: float) -> str:
    """What the plan would have to say for a back-up of that density; "" where no cell lives, for no volume would do."""
    if density_per_ml <= 0.0:
        return ""
    enough_l = backups.BANK_MARGIN * least_cells / density_per_ml / ML_PER_L
    return f'; backup = "{math.ceil(enough_l * 10.0) / 10.0:g} L" under [cycle] would'


def _homes(rota: Rota) -> Iterator[PlanWarning]:
    for name, counts in homes(rota.simulation, rota.start_state, rota.benches).items():
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
        yield PlanWarning(
            "one-home",
            f"{name}: lives in one place only on {numbered(len(alone), 'day')} from {alone[0]}; {when}",
        )


def _lost(strain: str, rota: Rota) -> PlanWarning:
    """All homes are gone, or all that is left of a strain is suspect."""
    family = {batch.id for batch in rota.state.batches.values() if batch.strain == strain}
    family |= {bottle.id for bottle in rota.state.bottles.values() if bottle.strain == strain}
    left = [each.subject for each in rota.inspections if each.subject in family]
    if left:
        text = f"all that is left is suspect ({', '.join(left)}); look at it before anything is poured away"
        return PlanWarning("all-suspect", f"{strain}: {text}")
    return PlanWarning(
        "strain-lost", f"{strain}: nothing of it is alive on the shelf or in the fridge; get a new starter"
    )


def _days(rota: Rota) -> Iterator[date]:
    for n in range((rota.through - rota.as_of).days + 1):
        yield rota.as_of + timedelta(days=n)


def _ripeness(rota: Rota) -> Iterator[PlanWarning]:
    for choice in rota.simulation.choices:
        over_on, taken = choice.projection.over_on, choice.taken
        last = taken if taken is not None else rota.through
        if over_on is not None and last > over_on:
            away = any(gone.first <= over_on <= gone.last for gone in rota.plan.away)
            until = f"harvested on {taken}" if taken is not None else "no harvest follows"
            yield PlanWarning(
                "over-ripe",
                f"{choice.batch.id} is over-ripe from {over_on}{' while away' if away else ''}; {until}",
                choice.batch.vessel,
            )
        elif (
            taken is not None and choice.projection.ripe_on is not None and taken < choice.projection.ripe_on
        ):
            yield PlanWarning(
                "harvest-early",
                f"{choice.batch.id} is harvested on {taken}, before it is ripe on {choice.projection.ripe_on}",
                choice.batch.vessel,
            )


def _withheld(rota: Rota) -> Iterator[PlanWarning]:
    """Bottles that must not be given, until each is poured away or cleared."""
    for record in rota.withheld:
        bottle = record.bottle
        yield PlanWarning(
            "bottle-withheld",
            f"do not give any of {bottle.id} ({record.left_ml:.0f} mL of {bottle.on}): {record.state_words}, "
            f"{record.because or 'as the logbook says'}; pour it away, or clear it once it was looked at",
        )


def _doubtful_counts(rota: Rota) -> Iterator[PlanWarning]:
    for count in rota.doubtful_counts:
        if rota.state.cultures.get(count.vessel) is None:
            continue
        share = count.counted_per_ml / count.projected_per_ml
        yield PlanWarning(
            "count-low",
            f"{count.vessel}: the count of {count.on} is {share:.0%} of what was projected for {count.batch}: has it "
            "crashed? Look at it, then log it as crashed, or count again",
            count.vessel,
        )
