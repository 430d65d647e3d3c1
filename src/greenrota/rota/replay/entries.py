"""What entries about living culture do, kind by kind: fillings, counts, losses and doubts."""

from __future__ import annotations

from datetime import timedelta

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota.ids import kind_named, prepare_id, task_id
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.replay import accumulator as guess
from greenrota.rota.replay.accumulator import MEASURED_ML, Replay, as_measured
from greenrota.rota.replay.bottle_entries import (
    UNKNOWN_DAYS,
    Judgement,
    bottle_judged,
    condemned_batch,
    is_harvest_bottle,
    unknown_subject,
)
from greenrota.rota.replay.logged import Crash
from greenrota.rota.replay.water_entries import pour_salt_water
from greenrota.rota.state import actions, scale_up
from greenrota.rota.state.actions import Shortfall
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.lineage import Outbreak

_HARVEST_SHARE = 0.5  # of what a harvest takes: less is a cup for the tank, not the harvest; our choice


def _source_of(run: Replay, entry: Entry, bench: Bench) -> str:
    """The batch or bottle a start came from: a vessel stands for its batch, a harvest bottle for the batch in it."""
    source = entry.text("from") or guess.likely_source(run.state, bench, entry.on)
    if source in run.state.cultures:
        source = run.state.cultures[source].batch.id
    poured = (each.batch for each in run.state.harvests if each.id == source and not each.is_back_up)
    return next(poured, source)


def started(run: Replay, entry: Entry, bench: Bench) -> None:
    """Open a batch in the vessel. What the entry leaves out is guessed: source, inoculum in mL, fill."""
    name = bench.vessel.name
    logged_ml = entry.volume_ml("inoculum")
    if logged_ml == 0.0:
        run.problem(entry, "log-nothing", f"{name} was started with 0 mL", "nothing was started")
        return
    if name in run.state.cultures:
        what = f"{name} was started while {run.state.cultures[name].batch.id} still stood in it"
        run.problem(entry, "log-vessel-occupied", what, "log the old batch as discarded first")
        run.recorder.empty(bench, entry.on)
    source = _source_of(run, entry, bench)
    volume_ml = guess.usual_inoculum_ml(bench) if logged_ml is None else logged_ml
    filled_l = run.filled_l(entry, bench)
    volume_ml = min(volume_ml, filled_l * ML_PER_L)
    giver = run.state.batches.get(source)
    given = giver or run.state.filled.get(source)
    if given is not None and given.strain != bench.strain.name:
        what = f"{source} is {given.strain}, {name} grows {bench.strain.name}"
        run.problem(entry, "log-source", what, "the start is kept; correct it with a void if it is a slip")
    if giver is not None and giver.vessel in run.context.benches:
        run.recorder.bring_up_to(run.context.benches[giver.vessel], entry.on)
    volume_ml = as_measured(volume_ml, run.held_ml(source))
    guessed = logged_ml is None
    try:
        seed = actions.take(run.state, bench, source, volume_ml, entry.on)
    except Shortfall as short:
        hint = "the start is kept, its density is a guess; a count helps"
        run.problem(entry, "log-source", str(short), hint)
        seed = guess.guessed_inoculum(bench, volume_ml, entry.on)
        guessed = True
        if not (source in run.state.batches or source in run.state.filled or source.startswith("starter:")):
            source = guess.UNKNOWN_SOURCE  # a batch that is yet to come must not become its own forebear
    done = actions.fill(run.state, bench, source, seed, entry.on, filled_l)
    if not guessed:
        run.logged.planned_starts[done.batch.id] = run.state.cultures[name].broth.density_per_ml
    run.count_if_logged(entry, bench)
    run.pour(entry, bench, done.label_doses_l)
    pour_salt_water(run, done, "start", entry.on)
    run.logged.done |= {f"{done.batch.id}/start", f"{done.batch.id}/prepare"}


def topped_up(run: Replay, entry: Entry, bench: Bench) -> None:
    """Pour seawater on the culture: as logged, else as would be planned, else up to twice its volume."""
    culture = run.living(entry, bench)
    if culture is None:
        return
    held_l, vessel = culture.broth.volume_l, bench.vessel
    logged_ml = entry.volume_ml("seawater")
    if logged_ml == 0.0:
        hint = "no top-up is counted; void the entry"
        run.problem(entry, "log-nothing", f"{vessel.name} was topped up with 0 mL", hint)
        return
    if logged_ml is None:
        to_l = scale_up.topup_l(bench, culture.broth) or min(vessel.fill_l, scale_up.LEAST_STEP * held_l)
    else:
        to_l = run.below_brim_l(entry, bench, held_l + logged_ml / ML_PER_L)
    done = actions.topup(run.state, bench, to_l, entry.on)
    run.pour(entry, bench, done.label_doses_l)
    number = culture.topups + 1
    pour_salt_water(run, done, "topup", entry.on, number)
    run.logged.done |= {
        task_id(culture.batch.id, "topup", number),
        prepare_id(culture.batch.id, "topup", number),
    }


def fed(run: Replay, entry: Entry, bench: Bench) -> None:
    """Give the second dose: as logged in mL of nutrient or in label doses, else one label dose."""
    culture = run.living(entry, bench)
    if culture is None:
        return
    poured_ml, strength = entry.volume_ml("nutrient"), entry.figure("dose")
    if strength is None:
        label_ml = bench.nutrient.dose_ml_per_l * culture.broth.volume_l
        strength = poured_ml / label_ml if poured_ml is not None and label_ml > 0.0 else 1.0
    done = actions.feed(run.state, bench, strength, entry.on)
    run.pour(entry, bench, done.label_doses_l)
    run.logged.done.add(f"{culture.batch.id}/feed")


def harvested(run: Replay, entry: Entry, bench: Bench) -> None:
    """Take culture into a harvest bottle: the logged volume, else all above what is kept, at most all there is."""
    if run.living(entry, bench) is None:
        return
    run.count_if_logged(entry, bench)
    culture = run.state.cultures[bench.vessel.name]
    held_ml = culture.broth.volume_l * ML_PER_L
    keep_ml = entry.volume_ml("keep")
    if keep_ml is None:
        keep_ml = run.context.cycles[bench.vessel.name].keep_share * bench.vessel.fill_l * ML_PER_L
    wanted_ml = entry.volume_ml("volume")
    volume_ml = max(0.0, held_ml - keep_ml) if wanted_ml is None else wanted_ml
    if volume_ml > held_ml + MEASURED_ML:
        what = f"{volume_ml:.0f} mL harvested from {culture.batch.id}, which held {held_ml:.0f} mL"
        run.problem(entry, "log-not-enough", what, "taken as all of it; correct with a void if it is a slip")
    actions.harvest(run.state, bench, min(volume_ml, held_ml), entry.on)
    if volume_ml >= _HARVEST_SHARE * (held_ml - keep_ml):
        run.logged.done.add(f"{culture.batch.id}/harvest")


def reseeded(run: Replay, entry: Entry, bench: Bench) -> None:
    """Top the vessel up as a new batch. Culture above the logged inoculum counts as harvested before."""
    culture = run.living(entry, bench)
    if culture is None:
        return
    kept_ml = entry.volume_ml("inoculum")
    poured_ml = 0.0 if kept_ml is None else culture.broth.volume_l * ML_PER_L - kept_ml
    if poured_ml > MEASURED_ML:  # the harvest was not written down, but it went into a harvest bottle
        actions.harvest(run.state, bench, poured_ml, entry.on)
    filled_l = run.filled_l(entry, bench)
    done = actions.reseed(run.state, bench, entry.on, entry.figure("light"), filled_l)
    run.pour(entry, bench, done.label_doses_l)
    pour_salt_water(run, done, "reseed", entry.on)
    run.logged.done |= {
        f"{done.batch.id}/reseed",
        f"{done.batch.id}/prepare",
        f"{done.batch.parent}/harvest",
    }


def counted(run: Replay, entry: Entry, bench: Bench) -> None:
    """Put the counted density in place of the projected one."""
    if run.living(entry, bench) is not None:
        run.count_if_logged(entry, bench)


def banked(run: Replay, entry: Entry, bench: Bench) -> None:
    """Fill a back-up, which replaces the others of the strain. Raises Shortfall if the vessel holds less."""
    culture = run.living(entry, bench)
    if culture is None:
        return
    run.count_if_logged(entry, bench)
    logged_ml = entry.volume_ml("volume")
    if logged_ml == 0.0:
        what, hint = f"0 mL of {culture.batch.id} banked", "no bottle was filled; void the entry"
        run.problem(entry, "log-nothing", what, hint)
        return
    volume_ml = guess.usual_back_up_ml(bench) if logged_ml is None else logged_ml
    held_ml = run.state.cultures[bench.vessel.name].broth.volume_l * ML_PER_L
    if volume_ml > held_ml + MEASURED_ML:
        raise Shortfall(f"{culture.batch.id} holds {held_ml:.0f} mL, {volume_ml:.0f} mL are asked")
    own = [b for b in run.state.bottles.values() if b.parent is not None]
    for old in [b.id for b in own if b.strain == bench.strain.name]:
        actions.retire(run.state, bench, old, entry.on)
    actions.bank(run.state, bench, min(volume_ml, held_ml), entry.on)
    run.logged.done.add(f"{culture.batch.id}/bank")


def crashed(run: Replay, entry: Entry, bench: Bench) -> None:
    """Empty the vessel and note what is suspect because of the cause."""
    culture = run.living(entry, bench)
    if culture is None:
        return
    since = entry.date("since") or entry.on
    cause = entry.text("cause") or "unknown"
    run.logged.crashes.append(Crash(bench.vessel.name, culture.batch.id, entry.on, cause, since))
    if cause == "contamination":
        because = f"contaminated since {since}"
        run.outbreaks.append(Outbreak(culture.batch.id, since, entry.on, because))
    elif cause == "unknown":
        since = entry.date("since") or entry.on - timedelta(days=UNKNOWN_DAYS)
        because = f"{culture.batch.id} was lost on {entry.on}, nobody knows why"
        run.outbreaks.append(Outbreak(culture.batch.id, since, entry.on, because, alone=True))
    run.recorder.empty(bench, entry.on)


def skipped(run: Replay, entry: Entry, bench: Bench) -> None:
    """Count a skipped dose, back-up or preparation as done; put a start, harvest or renewal off to a later day."""
    task = entry.text("task") or ""
    kind = kind_named(task)
    if any(kind == each and record.needed for each, record in TASK_KINDS.items()):
        run.logged.put_off[bench.vessel.name] = entry.on
    else:
        run.logged.done.add(task)


def judged(run: Replay, entry: Entry, kind: Judgement) -> None:
    """Clear, condemn or discard a vessel, a batch or a bottle."""
    if is_harvest_bottle(run, entry.subject):
        bottle_judged(run, entry, kind)
        return
    culture = run.state.cultures.get(entry.subject)
    subject = culture.batch.id if culture is not None else entry.subject
    if culture is None and kind == "discarded" and entry.subject in run.state.numbers:
        return  # a vessel that was harvested to the last drop is broken down
    if subject not in run.state.batches and subject not in run.state.filled:
        unknown_subject(run, entry, entry.subject)
    elif kind == "cleared":
        run.cleared[subject] = entry.on
    else:
        if kind == "condemned":
            condemned_batch(run, entry, subject)
        if subject in run.state.bottles:
            del run.state.bottles[subject]
        elif subject in run.state.batches:
            _pour_away(run, entry, subject)


def _pour_away(run: Replay, entry: Entry, batch: str) -> None:
    bench = run.context.benches.get(run.state.batches[batch].vessel)
    culture = None if bench is None else run.state.cultures.get(bench.vessel.name)
    if bench is not None and culture is not None and culture.batch.id == batch:
        volume_ml = entry.volume_ml("volume")
        if volume_ml is not None and volume_ml < culture.broth.volume_l * ML_PER_L - MEASURED_ML:
            run.recorder.bring_up_to(bench, entry.on)
            actions.take(run.state, bench, batch, volume_ml, entry.on)
            return
        run.recorder.empty(bench, entry.on)
        run.logged.done |= {f"{batch}/renew", f"{batch}/harvest"}
