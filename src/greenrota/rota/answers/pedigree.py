"""Pedigree: every batch and bottle of a rota with what became of it, and what a contamination would touch."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.rota import Rota
from greenrota.rota.state.lineage import Link, Outbreak, Suspicion, links, suspects

ALIVE, FRIDGE, CRASHED, GONE, PLANNED = "alive", "fridge", "crashed", "gone", "planned"


class Member(NamedTuple):
    """One batch or bottle: its link, what became of it, and why it is suspect (None: it is not).

    `state` is alive (in a vessel), fridge, crashed, gone (harvested on into the next batch, used up or poured away)
    or planned. `vessel` is None for a bottle. `cause` and `ended` tell of a crash.
    """

    link: Link
    state: str
    vessel: str | None
    suspicion: Suspicion | None = None
    cause: str | None = None
    ended: date | None = None


class Pedigree(NamedTuple):
    """All members by id as of a day; `touched` is what an outbreak, if one was asked about, would make suspect.

    `bottles` are the harvest bottles in which something is left.
    """

    name: str
    as_of: date
    members: Mapping[str, Member]
    outbreak: tuple[str, date] | None = None
    touched: Mapping[str, Suspicion] | None = None
    bottles: tuple[BottleRecord, ...] = ()


def pedigree(rota: Rota, planned: bool, outbreak: tuple[str, date] | None = None) -> Pedigree:
    """The members of a rota; with `planned` those that are still to come.

    `outbreak` names a vessel, batch or bottle and the first day it may have been contaminated. For a vessel the batch
    is meant that stood in it on that day, or the last one before. KeyError: it never held one.
    """
    family = links(rota.simulation.state if planned else rota.state)
    family.update(links(rota.state))
    members = {name: _member(rota, link) for name, link in family.items() if not link.is_harvest}
    bottles = tuple(
        record for record in rota.bottles if record.left_ml > 0.0 and (planned or not record.planned)
    )
    if outbreak is None:
        return Pedigree(rota.plan.name, rota.as_of, members, bottles=bottles)
    name, since = outbreak
    start = name if name in family else _batch_then(members, name, since)
    touched = suspects(family, [Outbreak(start, since, rota.as_of, f"contaminated since {since}")], {})
    there = {record.bottle.id for record in bottles}
    touched = {each: why for each, why in touched.items() if each in members or each in there}
    return Pedigree(rota.plan.name, rota.as_of, members, (start, since), touched, bottles)


def _member(rota: Rota, link: Link) -> Member:
    held = rota.state
    batch = rota.simulation.state.batches.get(link.child) or held.batches.get(link.child)
    vessel = None if batch is None else batch.vessel
    suspicion = rota.suspects.get(link.child)
    crash = next((crash for crash in reversed(rota.crashes) if crash.batch == link.child), None)
    if crash is not None:
        return Member(link, CRASHED, vessel, suspicion, crash.cause, crash.on)
    living = {culture.batch.id for culture in held.cultures.values()}
    if link.child in living:
        state = ALIVE
    elif link.child in held.bottles and held.bottles[link.child].filled == link.on:
        state = FRIDGE
    elif link.child in held.batches or link.child in held.filled:
        state = GONE
    else:
        state = PLANNED
    return Member(link, state, vessel, suspicion)


def _batch_then(members: Mapping[str, Member], vessel: str, on: date) -> str:
    """The batch of a vessel on a day: the last one started on or before it, else its first. KeyError: it has none."""
    own = sorted(
        (member.link.on, index, name)
        for index, (name, member) in enumerate(members.items())
        if member.vessel == vessel
    )
    if not own:
        raise KeyError(vessel)
    before = [name for day, _, name in own if day <= on]
    return before[-1] if before else own[0][2]
