"""Filling: what entries about living culture do: prepared, started, fed, harvested, reseeded, counted, banked."""

from __future__ import annotations

from greenrota.culture.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota import deed, guess
from greenrota.rota.bench import Bench
from greenrota.rota.deed import Shortfall
from greenrota.rota.page import MEASURED_ML, Page, as_measured
from greenrota.rota.shelf import batch_id

_HARVEST_SHARE = 0.5  # of what a harvest takes: less is a cup for the tank, not the harvest; our choice


def prepared(page: Page, entry: Entry, bench: Bench) -> None:
    name = f"{page.shelf.next_batch_id(bench.vessel.name)}/prepare"
    if name in page.told.done:  # that is done already: the one after it, on a shelf with few working days
        name = f"{batch_id(bench.vessel.name, page.shelf.numbers.get(bench.vessel.name, 0) + 2)}/prepare"
    page.told.done.add(name)


def started(page: Page, entry: Entry, bench: Bench) -> None:
    name = bench.vessel.name
    told_ml = entry.volume_ml("inoculum")
    if told_ml == 0.0:
        page.problem(entry, "log-nothing", f"{name} was started with 0 mL", "nothing was started")
        return
    if name in page.shelf.standing:
        what = f"{name} was started while {page.shelf.standing[name].batch.id} still stood in it"
        page.problem(entry, "log-vessel-occupied", what, "log the old batch as discarded first")
        page.diary.empty(bench, entry.on)
    source = entry.text("from") or guess.source(page.shelf, bench, entry.on)
    if source in page.shelf.standing:
        source = page.shelf.standing[source].batch.id
    volume_ml = guess.inoculum_ml(bench) if told_ml is None else told_ml
    filled_l = page.filled_l(entry, bench)
    volume_ml = min(volume_ml, filled_l * ML_PER_L)
    giver = page.shelf.batches.get(source)
    given = giver or page.shelf.filled.get(source)
    if given is not None and given.strain != bench.strain.name:
        what = f"{source} is {given.strain}, {name} grows {bench.strain.name}"
        page.problem(entry, "log-source", what, "the start is kept; correct it with a void if it is a slip")
    if giver is not None and giver.vessel in page.setting.benches:
        page.diary.bring_up_to(page.setting.benches[giver.vessel], entry.on)
    volume_ml = as_measured(volume_ml, page.held_ml(source))
    try:
        seed = deed.take(page.shelf, bench, source, volume_ml, entry.on)
    except Shortfall as short:
        page.problem(
            entry, "log-source", str(short), "the start is kept, its density is a guess; a count helps"
        )
        seed = guess.seed(bench, volume_ml, entry.on)
        if not (source in page.shelf.batches or source in page.shelf.filled or source.startswith("starter:")):
            source = guess.UNKNOWN_SOURCE  # a batch that is yet to come must not become its own forebear
    done = deed.fill(page.shelf, bench, source, seed, entry.on, filled_l)
    page.count_if_told(entry, bench)
    page.pour(entry, bench, done.label_doses_l)
    page.told.done |= {f"{done.batch.id}/start", f"{done.batch.id}/prepare"}


def fed(page: Page, entry: Entry, bench: Bench) -> None:
    standing = page.living(entry, bench)
    if standing is None:
        return
    poured_ml, strength = entry.volume_ml("nutrient"), entry.figure("dose")
    if strength is None:
        label_ml = bench.nutrient.dose_ml_per_l * standing.broth.volume_l
        strength = poured_ml / label_ml if poured_ml is not None and label_ml > 0.0 else 1.0
    done = deed.feed(page.shelf, bench, strength, entry.on)
    page.pour(entry, bench, done.label_doses_l)
    page.told.done.add(f"{standing.batch.id}/feed")


def harvested(page: Page, entry: Entry, bench: Bench) -> None:
    if page.living(entry, bench) is None:
        return
    page.count_if_told(entry, bench)
    standing = page.shelf.standing[bench.vessel.name]
    held_ml = standing.broth.volume_l * ML_PER_L
    keep_ml = entry.volume_ml("keep")
    if keep_ml is None:
        keep_ml = page.setting.cycles[bench.vessel.name].keep_share * bench.vessel.fill_l * ML_PER_L
    wanted_ml = entry.volume_ml("volume")
    volume_ml = max(0.0, held_ml - keep_ml) if wanted_ml is None else wanted_ml
    if volume_ml > held_ml + MEASURED_ML:
        what = f"{volume_ml:.0f} mL harvested from {standing.batch.id}, which held {held_ml:.0f} mL"
        page.problem(entry, "log-not-enough", what, "taken as all of it; correct with a void if it is a slip")
    deed.harvest(page.shelf, bench, min(volume_ml, held_ml), entry.on)
    if volume_ml >= _HARVEST_SHARE * (held_ml - keep_ml):
        page.told.done.add(f"{standing.batch.id}/harvest")


def reseeded(page: Page, entry: Entry, bench: Bench) -> None:
    standing = page.living(entry, bench)
    if standing is None:
        return
    kept_ml = entry.volume_ml("inoculum")
    poured_ml = 0.0 if kept_ml is None else standing.broth.volume_l * ML_PER_L - kept_ml
    if poured_ml > MEASURED_ML:  # the harvest was not written down, but it went into the feed bottle
        deed.harvest(page.shelf, bench, poured_ml, entry.on)
    filled_l = page.filled_l(entry, bench)
    done = deed.reseed(page.shelf, bench, entry.on, entry.figure("light"), filled_l)
    page.pour(entry, bench, done.label_doses_l)
    page.told.done |= {
        f"{done.batch.id}/reseed",
        f"{done.batch.id}/prepare",
        f"{done.batch.parent}/harvest",
    }


def counted(page: Page, entry: Entry, bench: Bench) -> None:
    if page.living(entry, bench) is not None:
        page.count_if_told(entry, bench)


def banked(page: Page, entry: Entry, bench: Bench) -> None:
    standing = page.living(entry, bench)
    if standing is None:
        return
    page.count_if_told(entry, bench)
    told_ml = entry.volume_ml("volume")
    if told_ml == 0.0:
        page.problem(
            entry,
            "log-nothing",
            f"0 mL of {standing.batch.id} banked",
            "no bottle was filled; void the entry",
        )
        return
    volume_ml = guess.bank_ml(bench) if told_ml is None else told_ml
    held_ml = page.shelf.standing[bench.vessel.name].broth.volume_l * ML_PER_L
    if volume_ml > held_ml + MEASURED_ML:
        raise Shortfall(f"{standing.batch.id} holds {held_ml:.0f} mL, {volume_ml:.0f} mL are asked")
    own = [b for b in page.shelf.bottles.values() if b.parent is not None]
    for old in [b.id for b in own if b.strain == bench.strain.name]:
        del page.shelf.bottles[old]
    deed.bank(page.shelf, bench, min(volume_ml, held_ml), entry.on)
    page.told.done.add(f"{standing.batch.id}/bank")
