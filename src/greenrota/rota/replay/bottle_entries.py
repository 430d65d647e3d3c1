"""What entries about harvest bottles and about suspicion do: given, given away, measured, poured away, cleared."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal, assert_never

from greenrota.errors import nearest
from greenrota.logbook.entry import Entry
from greenrota.rota.feed.bottles import BottleEntry, BottleEntryKind
from greenrota.rota.feed.rations import consumers
from greenrota.rota.replay.accumulator import Replay
from greenrota.rota.state.lineage import Outbreak, links, suspects

Judgement = Literal["cleared", "condemned", "discarded"]

UNKNOWN_DAYS = 3  # harvests doubted where nobody knows since when something is wrong; our choice


def is_harvest_bottle(run: Replay, name: str) -> bool:
    """True for the id of a harvest bottle, or of a back-up that was replaced."""
    return name not in run.state.bottles and any(bottle.id == name for bottle in run.state.harvests)


def given(run: Replay, entry: Entry) -> None:
    """A consumer got something; without `from` it came from the oldest bottle."""
    names = [consumer.name for consumer in consumers(run.context.plan)]
    if entry.subject not in names:
        near = nearest(entry.subject, names)
        hint = (
            f"did you mean {near}?" if near is not None else f"the plan feeds {', '.join(names) or 'nobody'}"
        )
        run.problem(entry, "log-unknown-consumer", f'the plan feeds nobody called "{entry.subject}"', hint)
        return
    bottle = entry.text("from")
    if bottle is not None and not _is_known(run, entry, bottle):
        return
    logged = BottleEntry(entry.on, "given", bottle, entry.subject, entry.volume_ml("volume"))
    run.logged.bottle_entries.append(logged)


def bottle_changed(run: Replay, entry: Entry, kind: BottleEntryKind) -> None:
    """A bottle was given away, poured away or measured."""
    if _is_known(run, entry, entry.subject):
        logged = BottleEntry(entry.on, kind, entry.subject, None, entry.volume_ml("volume"))
        run.logged.bottle_entries.append(logged)


def bottle_judged(run: Replay, entry: Entry, kind: Judgement) -> None:
    """A harvest bottle was cleared, found bad or poured away."""
    match kind:
        case "discarded":
            bottle_changed(run, entry, kind)
        case "cleared":
            run.cleared[entry.subject] = entry.on
            run.logged.condemned.discard(entry.subject)
        case "condemned":
            run.logged.condemned.add(entry.subject)
            run.outbreaks.append(_marked(entry, entry.subject, "looked at and found bad"))
        case _:
            assert_never(kind)


def suspected(run: Replay, entry: Entry) -> None:
    """Somebody doubts a vessel, a batch or a bottle: a smell, water that has cleared."""
    culture = run.state.cultures.get(entry.subject)
    name = entry.subject if culture is None else culture.batch.id
    known = name in run.state.batches or name in run.state.filled or is_harvest_bottle(run, name)
    if known:
        run.cleared.pop(name, None)
        days_before = 0 if is_harvest_bottle(run, name) else UNKNOWN_DAYS  # nothing comes of a harvest bottle
        run.outbreaks.append(_marked(entry, name, "marked as suspect", days_before))
    else:
        unknown_subject(run, entry, entry.subject)


def condemned_batch(run: Replay, entry: Entry, batch: str) -> None:
    """A culture was looked at and found bad: whatever came from it since then is suspect."""
    run.outbreaks.append(_marked(entry, batch, "looked at and found bad"))


def bar_bottles(run: Replay) -> None:
    """Work out what is suspect, and note on every harvest bottle from which day on it may not be given."""
    if not run.outbreaks:
        run.logged.suspects = {}
        return
    family = links(run.state)
    found = suspects(family, run.outbreaks, run.cleared)
    ever = suspects(family, run.outbreaks, {}) if run.cleared else found
    run.logged.suspects = found
    for index, bottle in enumerate(run.state.harvests):
        why = ever.get(bottle.id)
        if why is None:
            continue
        free = bottle.id not in found and bottle.id not in run.logged.condemned
        cleared_on = _cleared_on(run, bottle.id, bottle.batch) if free else None
        run.state.harvests[index] = bottle._replace(barred_on=why.known, cleared_on=cleared_on)


def _cleared_on(run: Replay, bottle: str, batch: str) -> date:
    """The day from which a bottle is free again: its own clearing, its batch's, else the last one of all."""
    for name in (bottle, batch):
        if name in run.cleared:
            return run.cleared[name]
    return max(run.cleared.values())


def _marked(entry: Entry, name: str, what: str, days_before: int = 0) -> Outbreak:
    """An outbreak that somebody marked by hand; without `since=` it goes back so many days."""
    reason = entry.text("reason") or entry.text("text")
    because = f"{what} on {entry.on}{f' ({reason})' if reason else ''}"
    since = entry.date("since") or entry.on - timedelta(days=days_before)
    return Outbreak(name, since, entry.on, because)


def _is_known(run: Replay, entry: Entry, bottle: str) -> bool:
    if is_harvest_bottle(run, bottle):
        return True
    unknown_subject(run, entry, bottle)
    return False


def unknown_subject(run: Replay, entry: Entry, name: str) -> None:
    """Note that nothing bears a name, with the nearest vessel, batch or bottle as a hint."""
    known = [*run.context.benches, *run.state.filled, *run.state.batches]
    known += [bottle.id for bottle in run.state.harvests]
    near = nearest(name, known)
    hint = f"did you mean {near}?" if near is not None else "name a vessel, a batch or a bottle"
    run.problem(entry, "log-unknown-subject", f'nothing is called "{name}"', hint)
