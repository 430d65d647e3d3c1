"""Doubts about amounts: volumes that do not fit what stands in a vessel, counts far off, several doses at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import LogKind
from greenrota.rota.replay.accumulator import logged_density_per_ml
from greenrota.rota.warnings.doubt_scene import Doubt, Scene
from greenrota.rota.warnings.unusual import implausible

COUNT_LOW, COUNT_HIGH = 0.2, 5.0  # times the projection: outside, a slip or a crash is likelier; our choice
SEVERAL_DOSES = 2.0  # times the planned dose: from here on a slip is likelier than a full syringe; our choice
OFF_SHARE, OFF_ML = 0.10, 50.0  # by how much volumes may fail to add up (the larger counts); our choice
# Kinds whose density is that of what stands in the vessel, and kinds that pour nutrient into it.
_ON_CULTURE: tuple[LogKind, ...] = ("counted", "harvested", "banked")
_DOSED: tuple[LogKind, ...] = ("fed", "started", "topped-up", "reseeded")
# The key of a volume that cannot be more than stands in the vessel.
_OF_WHAT_STANDS: Mapping[LogKind, str] = {"harvested": "keep", "reseeded": "inoculum", "discarded": "volume"}
# The key of the water that is dosed, where it is not the volume that was filled.
_FILLED_BY: Mapping[LogKind, str] = {"topped-up": "seawater"}
_VOLUMES = ("inoculum", "volume", "seawater", "keep", "nutrient")


def nothing(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """0 mL of anything, and a dose of nothing."""
    breaks_down = any(
        t.kind == "renew" and t.vessel == entry.subject and t.on <= entry.on for t in scene.tasks
    )
    written = dict(entry.values)
    for key in (*_VOLUMES, "dose"):
        if written.get(key) == 0.0 and not (key == "keep" and breaks_down):
            shown = "a dose of 0" if key == "dose" else f"{key} is 0 mL"
            yield Doubt(
                "log-nothing",
                f"{entry.kind} {entry.subject}: {shown}",
                "leave it out if nothing was measured",
            )


def more_than_stands(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """More kept, carried over or poured away than stands in the vessel."""
    culture = scene.culture(entry)
    key = _OF_WHAT_STANDS.get(entry.kind)
    logged_ml = None if key is None else entry.volume_ml(key)
    if culture is None or logged_ml is None:
        return
    held_ml = culture.broth.volume_l * ML_PER_L
    if logged_ml > held_ml + _off_ml(held_ml):
        text = f"{key} is {logged_ml:.0f} mL, and {culture.batch.id} holds {held_ml:.0f} mL"
        yield Doubt("log-more-than-stands", text)


def adds_up(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """What is taken and what stays make what stood there; a back-up of the day has been taken off before."""
    culture = scene.culture(entry)
    if culture is None:
        return
    held_ml = culture.broth.volume_l * ML_PER_L
    taken_ml, keep_ml = (entry.volume_ml(key) for key in ("volume", "keep"))
    harvested = entry.kind == "harvested" and taken_ml is not None and keep_ml is not None
    if harvested and abs((taken_ml or 0.0) + (keep_ml or 0.0) - held_ml) > _off_ml(held_ml):
        text = (
            f"{taken_ml:.0f} mL taken and {keep_ml:.0f} mL kept are not the {held_ml:.0f} mL that stood there"
        )
        yield Doubt("log-not-adding-up", text, "a back-up of the same day is logged before the harvest")
    kept_ml = entry.volume_ml("inoculum") if entry.kind == "reseeded" else None
    if kept_ml is not None and scene.same_day(entry, "harvested") and kept_ml < held_ml - _off_ml(held_ml):
        text = f"{kept_ml:.0f} mL carried over, but {held_ml:.0f} mL stayed after the harvest of the day"
        yield Doubt("log-not-adding-up", text, "what is missing would count as harvested too")


def topped_up(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """Seawater on a culture that is not being filled, or more of it than the working volume takes."""
    bench, culture = scene.bench(entry), scene.culture(entry)
    if entry.kind != "topped-up" or bench is None or culture is None:
        return
    fill_ml, held_ml = bench.vessel.fill_l * ML_PER_L, culture.broth.volume_l * ML_PER_L
    water_ml = entry.volume_ml("seawater") or 0.0
    if not culture.filling:
        text = f"{culture.batch.id} is not being filled in steps, {held_ml:.0f} mL stand in it"
        yield Doubt("log-not-filling", text, "fresh water for what evaporated is not logged")
    elif held_ml + water_ml > fill_ml + _off_ml(fill_ml):
        text = f"{water_ml:.0f} mL on the {held_ml:.0f} mL of {culture.batch.id} are more than its {fill_ml:.0f} mL"
        yield Doubt("log-more-than-fits", text)


def _off_ml(held_ml: float) -> float:
    return max(OFF_ML, OFF_SHARE * held_ml)


def count(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A count of zero, or far from the projection."""
    culture = scene.culture(entry)
    if culture is None or entry.kind not in _ON_CULTURE:
        return
    try:
        counted_per_ml = logged_density_per_ml(entry)
    except ValueError:  # cells and squares that can not be: the replay reports it
        return
    if counted_per_ml is None:
        return
    expected_per_ml = culture.broth.density_per_ml
    batch = culture.batch.id
    if counted_per_ml == 0.0:
        yield Doubt(
            "log-count-zero", f"no cells in {batch}", f"is it dead? then: log crashed {entry.subject}"
        )
    elif not COUNT_LOW * expected_per_ml <= counted_per_ml <= COUNT_HIGH * expected_per_ml:
        times = counted_per_ml / expected_per_ml if expected_per_ml > 0.0 else float("inf")
        text = (
            f"{_density(counted_per_ml)}/mL in {batch} is {times:.{0 if times >= COUNT_HIGH else 2}f} times the "
            f"{_density(expected_per_ml)}/mL that are expected"
        )
        low = "or has it crashed?" if counted_per_ml < expected_per_ml else "or was a dilution counted twice?"
        yield Doubt("log-count-far", text, f"is it a slip, {low}")


def _density(per_ml: float) -> str:
    """
    >>> _density(6.5e9)
    '6.5e9'
    """
    digits, power = f"{per_ml:.1e}".split("e")
    return f"{digits}e{int(power)}"


def doses(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """Several doses at once: for a second dose by what stands in the vessel, else by the whole filling."""
    bench, culture = scene.bench(entry), scene.culture(entry)
    if bench is None or entry.kind not in _DOSED:
        return
    planned = max(1.0, scene.context.cycles[entry.subject].feed_dose) if entry.kind == "fed" else 1.0
    filled_ml = entry.volume_ml(_FILLED_BY.get(entry.kind, "volume")) if entry.kind != "fed" else None
    volume_l = bench.vessel.fill_l if filled_ml is None else filled_ml / ML_PER_L
    if entry.kind == "fed" and culture is not None:
        volume_l = culture.broth.volume_l
    label_ml, poured_ml = bench.nutrient.dose_ml_per_l * volume_l, entry.volume_ml("nutrient")
    doses_at_once = entry.figure("dose") if entry.kind == "fed" else None
    if doses_at_once is None and poured_ml is not None and label_ml > 0.0:
        doses_at_once = poured_ml / label_ml
    if doses_at_once is not None and doses_at_once >= SEVERAL_DOSES * planned:
        text = f"{doses_at_once:.2g} label doses for {entry.subject} at once; {planned:g} is the most that is planned"
        yield Doubt("log-many-doses", text, f"one is {label_ml:.2g} mL of {bench.nutrient.name}")


def unlikely(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A value outside its usual range, whatever the state; what the checks of counts and doses ask is left to them."""
    asked: dict[str, Callable[[Scene, Entry], Iterator[Doubt]]] = {
        "density": count,
        "dose": doses,
        "nutrient": doses,
        "seawater": topped_up,
    }
    asked |= dict.fromkeys(("inoculum", "volume", "keep"), more_than_stands)
    for found in implausible(entry, scene.context.benches):
        check = asked.get(found.key)
        if check is None or not any(check(scene, entry)):
            yield Doubt("log-unusual", found.text)
