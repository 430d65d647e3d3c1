"""Every claim in the reason of a restart, held against what stood that day: over generated plans and logbooks."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs import lived
from made_plans import example_plan, example_vessel, lively_plans

from greenrota.rota.plan import CyclePlan, Plan, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.events import Event, Interval
from greenrota.rota.tasks.reasons import Reasons

RIPE = 0.80  # of the ceiling; our choice, as in the rota
HAIR = 1e-6  # relative: rounding of growth in one step or in several
DAY = timedelta(days=1)
LIVES = st.tuples(lively_plans(most_days=40, most_vessels=3), st.integers(3, 10), st.integers(0, 10_000))


def share(rota: Rota, stretch: Interval, on: date) -> float:
    """Density as a share of the ceiling of a batch that is left as it stands."""
    bench = rota.benches[stretch.batch.vessel].lit(stretch.light_h)
    broth = bench.grow(stretch.broth, float((on - stretch.first).days))
    top = bench.ceiling(broth).per_ml
    return broth.density_per_ml / top if top > 0.0 else 0.0


def suspect(rota: Rota, batch_id: str) -> bool:
    """Whether a batch, or one that it was re-seeded from, is under suspicion."""
    batch = rota.simulation.state.batches[batch_id]
    if batch_id in rota.start_state.suspect:
        return True
    return batch.reseeds > 0 and batch.parent in rota.simulation.state.batches and suspect(rota, batch.parent)


def stood(rota: Rota, strain: str, on: date) -> list[Interval]:
    """What stood of a strain when the day began."""
    first = rota.as_of
    return [
        stretch
        for stretch in rota.simulation.intervals
        if stretch.batch.strain == strain
        and (stretch.first < on or stretch.first == on == first)
        and on <= stretch.last
        and not (stretch.first == on and stretch.batch.started == on)
    ]


def check_reason(rota: Rota, event: Event, reason: str) -> Iterator[str]:
    """Hold each claim of a reason against the state; yields which claims were made."""
    on, strain = event.on, event.batch.strain
    others = stood(rota, strain, on)
    sound = [stretch for stretch in others if not suspect(rota, stretch.batch.id)]
    events = [e for e in rota.simulation.events if e.on == on]
    harvested = {e.batch.id for e in events if e.kind in ("harvest", "renew")}
    harvested |= {
        e.batch.parent for e in events if e.kind == "reseed"
    }  # all that was spared may go to another
    if "which is harvested that day" in reason:
        assert event.batch.parent in harvested, reason
        yield "harvested"
    if found := re.search(r"ripe at (\d+)%", reason):
        (giver,) = (s for s in sound if s.batch.id == event.batch.parent)
        assert share(rota, giver, on) >= RIPE * (1.0 - HAIR), reason
        assert f"{share(rota, giver, on):.0%}" == f"{found[1]}%"
        assert event.batch.parent not in harvested
        yield "ripe"
    if found := re.search(r"(\d+) days? old", reason):
        bottle = rota.simulation.state.filled[event.batch.parent]
        assert (on - bottle.filled).days == int(found[1])
        assert ("starter" in reason) == (bottle.parent is None)
        yield "bottle"
    if "no other vessel" in reason:
        assert not others, reason
        yield "alone"
    if "is suspect" in reason:
        assert others and not sound, reason
        yield "suspect"
    if "spares enough" in reason:
        assert any(share(rota, s, on) >= RIPE * (1.0 - HAIR) or s.batch.id in harvested for s in sound), (
            reason
        )
        yield "too little"
    if "is getting ripe" in reason:
        assert sound and all(share(rota, s, on + 3000 * DAY) < RIPE for s in sound), reason
        yield "never"
    if found := re.search(r"ripe before (\d{4}-\d\d-\d\d)", reason):
        ripe_on = date.fromisoformat(found[1])
        assert all(share(rota, s, ripe_on - DAY) < RIPE * (1.0 + HAIR) for s in sound), reason
        again = [s for s in rota.simulation.intervals if s.first == on and s.batch.strain == strain]
        assert any(share(rota, s, ripe_on) >= RIPE * (1.0 - HAIR) for s in (*sound, *again)), reason
        assert not any(s.batch.id in harvested for s in sound), reason
        yield "ripe before"


def check_all(rota: Rota) -> set[str]:
    known = set(rota.state.numbers)
    claims: set[str] = set()
    reasons = Reasons(rota.benches, rota.simulation.events, rota.simulation.choices)
    for event in rota.simulation.events:
        if event.kind == "start":
            reason = reasons.of(event)
            if reason.startswith("restart"):
                assert event.batch.vessel in known
                found = set(check_reason(rota, event, reason))
                assert found or reason.split(" from ")[1].startswith(event.batch.parent), reason
                claims |= found
            known.add(event.batch.vessel)
    return claims


@settings(max_examples=6)
@given(LIVES)
def test_what_a_reason_claims_is_so_whatever_happened(life: tuple[Plan, int, int]) -> None:
    plan, days, seed = life
    check_all(schedule(plan, lived(plan, days, seed, luck=0.7), plan.start + timedelta(days=days)))


def test_every_kind_of_claim_comes_up_and_is_so() -> None:
    claims: set[str] = set()
    for seed in range(8):
        dice = random.Random(seed)
        plan = example_plan(
            days=60,
            vessels=tuple(
                example_vessel(name) for name in ("north", "south", "east")[: dice.choice((1, 2, 3))]
            ),
            work=Work(frozenset(dice.choice((range(7), (2, 5, 6))))),
            cycle=CyclePlan(renew_after=dice.choice((2, None))),
        )
        days = dice.randint(6, 16)
        claims |= check_all(schedule(plan, lived(plan, days, seed, luck=0.8), plan.start + days * DAY))
    assert claims >= {"harvested", "bottle", "alone", "ripe before"}, claims
