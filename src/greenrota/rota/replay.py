"""Replay: the logbook folded into the state of the shelf on a day.

Every entry is taken as it stands; what cannot be (a vessel the plan does not know, more drawn than there was) becomes
a problem, the nearest possible thing is done, and nothing is dropped.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from datetime import date

from greenrota.errors import Problem
from greenrota.logbook.entry import NO_VESSEL, Entry
from greenrota.rota import deed, guess, lineage
from greenrota.rota.bench import Bench
from greenrota.rota.deed import ML_PER_L, Shortfall
from greenrota.rota.diary import Diary
from greenrota.rota.history import Crash, History
from greenrota.rota.setting import Setting
from greenrota.rota.shelf import Shelf, Standing, first_shelf

_MEASURED_ML = 0.5  # half a millilitre: nobody measures finer; our choice
_HARVEST_SHARE = 0.5  # of what a harvest takes: less is a cup for the tank, not the harvest; our choice


def replay(
    setting: Setting,
    entries: Iterable[Entry],
    as_of: date,
    watch: Callable[[Entry, Shelf], None] | None = None,
) -> History:
    """Fold the standing entries (voids gone, in order) up to and including a day. Replaying twice gives one state.

    `watch` is shown the shelf after each entry; it must not change it.
    """
    fold = _Fold(setting, History(Diary(first_shelf(setting.plan), setting.memory), as_of))
    for entry in entries:
        if entry.on <= as_of:
            fold.take(entry)
            if watch is not None:
                watch(entry, fold.shelf)
    return fold.close()


class _Fold:
    def __init__(self, setting: Setting, told: History) -> None:
        self.setting = setting
        self.told = told
        self.diary = told.diary
        self.shelf = told.diary.shelf
        self.cleared: dict[str, date] = {}
        self.by_kind: dict[str, Callable[[Entry, Bench], None]] = {
            "prepared": self._prepared,
            "started": self._started,
            "fed": self._fed,
            "harvested": self._harvested,
            "reseeded": self._reseeded,
            "counted": self._counted,
            "crashed": self._crashed,
            "banked": self._banked,
            "skipped": self._skipped,
        }

    def take(self, entry: Entry) -> None:
        """Apply one entry."""
        if entry.kind == "note" or entry.subject == NO_VESSEL:
            return
        if entry.kind in ("cleared", "condemned", "discarded"):
            self._judge(entry)
            return
        bench = self.setting.benches.get(entry.subject)
        if bench is None:
            self._unknown_vessel(entry)
            return
        self.diary.bring_up_to(bench, entry.on)
        try:
            self.by_kind[entry.kind](entry, bench)
        except Shortfall as short:
            self._problem(entry, "log-not-enough", str(short), "check the amounts, or correct with a void")
        for standing in list(self.shelf.standing.values()):
            if standing.broth.volume_l * ML_PER_L <= _MEASURED_ML:
                self._empty(self.setting.benches[standing.batch.vessel], entry.on)

    def close(self) -> History:
        """The history with its suspicions worked out."""
        outbreaks = [(c.batch, c.since) for c in self.told.crashes if c.cause == "contamination"]
        self.told.suspects = lineage.suspects(lineage.links(self.shelf), outbreaks, self.cleared)
        return self.told

    def _problem(self, entry: Entry, code: str, what: str, hint: str) -> None:
        self.told.problems.append(Problem(code, entry.where, what, hint))

    def _unknown_vessel(self, entry: Entry) -> None:
        close = difflib.get_close_matches(entry.subject, self.setting.benches, n=1)
        hint = f"did you mean {close[0]}?" if close else "it may have left the plan; the entry is kept"
        self._problem(entry, "log-unknown-vessel", f'the plan has no vessel "{entry.subject}"', hint)

    def _living(self, entry: Entry, bench: Bench) -> Standing | None:
        standing = self.shelf.standing.get(bench.vessel.name)
        if standing is None:
            what = f"{entry.kind} {bench.vessel.name}, but nothing stands in it on {entry.on}"
            self._problem(entry, "log-empty-vessel", what, "was a start left out?")
        return standing

    def _prepared(self, entry: Entry, bench: Bench) -> None:
        name = f"{self.shelf.next_batch_id(bench.vessel.name)}/prepare"
        if name in self.told.done:  # that is done already: the one after it, on a shelf with few working days
            name = f"{bench.vessel.name}/{self.shelf.numbers.get(bench.vessel.name, 0) + 2}/prepare"
        self.told.done.add(name)

    def _started(self, entry: Entry, bench: Bench) -> None:
        name = bench.vessel.name
        if name in self.shelf.standing:
            what = f"{name} was started while {self.shelf.standing[name].batch.id} still stood in it"
            self._problem(entry, "log-vessel-occupied", what, "log the old batch as discarded first")
            self._empty(bench, entry.on)
        source = entry.text("from") or guess.source(self.shelf, bench, entry.on)
        if source in self.shelf.standing:
            source = self.shelf.standing[source].batch.id
        volume_ml = entry.volume_ml("inoculum") or guess.inoculum_ml(bench)
        volume_ml = min(volume_ml, bench.vessel.fill_l * ML_PER_L)
        giver = self.shelf.batches.get(source)
        given = giver or self.shelf.filled.get(source)
        if given is not None and given.strain != bench.strain.name:
            what = f"{source} is {given.strain}, {name} grows {bench.strain.name}"
            self._problem(entry, "log-source", what, "the start is kept; correct it with a void if it is a slip")
        if giver is not None and giver.vessel in self.setting.benches:
            self.diary.bring_up_to(self.setting.benches[giver.vessel], entry.on)
        volume_ml = _as_measured(volume_ml, self._held_ml(source))
        try:
            seed = deed.take(self.shelf, bench, source, volume_ml, entry.on)
        except Shortfall as short:
            self._problem(
                entry, "log-source", str(short), "the start is kept, its density is a guess; a count helps"
            )
            seed = guess.seed(bench, volume_ml, entry.on)
            if not (
                source in self.shelf.batches or source in self.shelf.filled or source.startswith("starter:")
            ):
                source = guess.UNKNOWN_SOURCE  # a batch that is yet to come must not become its own forebear
        done = deed.fill(self.shelf, bench, source, seed, entry.on)
        self._count_if_told(entry, bench)
        self._pour(entry, bench, bench.vessel.fill_l)
        self.told.done |= {f"{done.batch.id}/start", f"{done.batch.id}/prepare"}

    def _held_ml(self, source: str) -> float | None:
        bottle = self.shelf.bottles.get(source)
        if bottle is not None:
            return bottle.volume_ml
        living = {standing.batch.id: standing for standing in self.shelf.standing.values()}.get(source)
        return None if living is None else living.broth.volume_l * ML_PER_L

    def _count_if_told(self, entry: Entry, bench: Bench) -> None:
        density = entry.density_per_ml("density")
        if density is not None and bench.vessel.name in self.shelf.standing:
            deed.count(self.shelf, bench, density, entry.on)

    def _pour(self, entry: Entry, bench: Bench, label_doses_l: float) -> None:
        """Note what was poured out of the nutrient bottle: as told, else the label dose for so many litres."""
        nutrient = bench.nutrient
        told_ml = entry.volume_ml("nutrient")
        poured_ml = label_doses_l * nutrient.dose_ml_per_l if told_ml is None else told_ml
        for name in (nutrient.name, nutrient.other_part):
            if name is not None:
                self.told.poured[name] = self.told.poured.get(name, 0.0) + poured_ml

    def _fed(self, entry: Entry, bench: Bench) -> None:
        standing = self._living(entry, bench)
        if standing is None:
            return
        poured_ml, strength = entry.volume_ml("nutrient"), entry.figure("dose")
        if strength is None:
            label_ml = bench.nutrient.dose_ml_per_l * standing.broth.volume_l
            strength = poured_ml / label_ml if poured_ml is not None and label_ml > 0.0 else 1.0
        deed.feed(self.shelf, bench, strength, entry.on)
        self._pour(entry, bench, standing.broth.volume_l * strength)
        self.told.done.add(f"{standing.batch.id}/feed")

    def _harvested(self, entry: Entry, bench: Bench) -> None:
        if self._living(entry, bench) is None:
            return
        self._count_if_told(entry, bench)
        standing = self.shelf.standing[bench.vessel.name]
        held_ml = standing.broth.volume_l * ML_PER_L
        keep_ml = entry.volume_ml("keep")
        if keep_ml is None:
            keep_ml = self.setting.cycles[bench.vessel.name].keep_share * bench.vessel.fill_l * ML_PER_L
        wanted_ml = entry.volume_ml("volume")
        volume_ml = max(0.0, held_ml - keep_ml) if wanted_ml is None else wanted_ml
        if volume_ml > held_ml + _MEASURED_ML:
            what = f"{volume_ml:.0f} mL harvested from {standing.batch.id}, which held {held_ml:.0f} mL"
            self._problem(
                entry, "log-not-enough", what, "taken as all of it; correct with a void if it is a slip"
            )
        deed.harvest(self.shelf, bench, min(volume_ml, held_ml), entry.on)
        if volume_ml >= _HARVEST_SHARE * (held_ml - keep_ml):
            self.told.done.add(f"{standing.batch.id}/harvest")

    def _reseeded(self, entry: Entry, bench: Bench) -> None:
        standing = self._living(entry, bench)
        if standing is None:
            return
        kept_ml = entry.volume_ml("inoculum")
        if kept_ml is not None and kept_ml / ML_PER_L < standing.broth.volume_l:
            deed.take(
                self.shelf, bench, standing.batch.id, standing.broth.volume_l * ML_PER_L - kept_ml, entry.on
            )
        done = deed.reseed(self.shelf, bench, entry.on, entry.figure("light"))
        self._pour(entry, bench, done.seawater_l)
        self.told.done |= {
            f"{done.batch.id}/reseed",
            f"{done.batch.id}/prepare",
            f"{done.batch.parent}/harvest",
        }

    def _counted(self, entry: Entry, bench: Bench) -> None:
        if self._living(entry, bench) is not None:
            self._count_if_told(entry, bench)

    def _crashed(self, entry: Entry, bench: Bench) -> None:
        standing = self._living(entry, bench)
        if standing is None:
            return
        since = entry.date("since") or entry.on
        cause = entry.text("cause") or "unknown"
        self.told.crashes.append(Crash(bench.vessel.name, standing.batch.id, entry.on, cause, since))
        self._empty(bench, entry.on)

    def _banked(self, entry: Entry, bench: Bench) -> None:
        standing = self._living(entry, bench)
        if standing is None:
            return
        self._count_if_told(entry, bench)
        volume_ml = entry.volume_ml("volume") or guess.bank_ml(bench)
        held_ml = self.shelf.standing[bench.vessel.name].broth.volume_l * ML_PER_L
        if volume_ml > held_ml + _MEASURED_ML:
            raise Shortfall(f"{standing.batch.id} holds {held_ml:.0f} mL, {volume_ml:.0f} mL are asked")
        own = [b for b in self.shelf.bottles.values() if b.parent is not None]
        for old in [b.id for b in own if b.strain == bench.strain.name]:
            del self.shelf.bottles[old]
        deed.bank(self.shelf, bench, min(volume_ml, held_ml), entry.on)
        self.told.done.add(f"{standing.batch.id}/bank")

    def _skipped(self, entry: Entry, bench: Bench) -> None:
        """A feed, a back-up or a preparation is let go; what a batch cannot do without is put off to the next day."""
        task = entry.text("task") or ""
        if task.rpartition("/")[2] in ("start", "harvest", "reseed", "renew"):
            self.told.put_off[bench.vessel.name] = entry.on
        else:
            self.told.done.add(task)

    def _judge(self, entry: Entry) -> None:
        """Clear, condemn or discard a vessel, a batch or a bottle."""
        standing = self.shelf.standing.get(entry.subject)
        subject = standing.batch.id if standing is not None else entry.subject
        if standing is None and entry.kind == "discarded" and entry.subject in self.shelf.numbers:
            return  # a vessel that was harvested to the last drop is broken down
        if subject not in self.shelf.batches and subject not in self.shelf.filled:
            known = [*self.setting.benches, *self.shelf.filled, *self.shelf.batches]
            close = difflib.get_close_matches(entry.subject, known, n=1)
            hint = f"did you mean {close[0]}?" if close else "name a vessel, a batch or a bottle"
            self._problem(entry, "log-unknown-subject", f'nothing is called "{entry.subject}"', hint)
        elif entry.kind == "cleared":
            self.cleared[subject] = entry.on
        elif subject in self.shelf.bottles:
            del self.shelf.bottles[subject]
        elif subject in self.shelf.batches:
            self._pour_away(entry, subject)

    def _pour_away(self, entry: Entry, batch: str) -> None:
        bench = self.setting.benches.get(self.shelf.batches[batch].vessel)
        standing = None if bench is None else self.shelf.standing.get(bench.vessel.name)
        if bench is not None and standing is not None and standing.batch.id == batch:
            volume_ml = entry.volume_ml("volume")
            if volume_ml is not None and volume_ml < standing.broth.volume_l * ML_PER_L - _MEASURED_ML:
                self.diary.bring_up_to(bench, entry.on)
                deed.take(self.shelf, bench, batch, volume_ml, entry.on)
                return
            self._empty(bench, entry.on)
            self.told.done |= {f"{batch}/renew", f"{batch}/harvest"}

    def _empty(self, bench: Bench, on: date) -> None:
        self.diary.bring_up_to(bench, on)
        deed.empty(self.shelf, bench, on)
        self.diary.emptied[bench.vessel.name] = on


def _as_measured(volume_ml: float, held_ml: float | None) -> float:
    """What was taken: all there was where the figure written down says so as nearly as it can be measured."""
    return held_ml if held_ml is not None and abs(volume_ml - held_ml) <= _MEASURED_ML else volume_ml
