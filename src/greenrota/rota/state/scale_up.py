"""Scale-up: a vessel that few cells are there for is filled in steps, so that no step starts too thin.

The first fill is as large as its cells start well; seawater and nutrient follow when the culture has grown, up to the
working volume. All shares are of the bench ceiling of the vessel filled to its working volume: a vessel that is filled
a little is lit no better.
"""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.culture.bench.inoculum import MIN_START_SHARE
from greenrota.culture.growth.broth import Broth, bench_ceiling_per_ml
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import DAY, OpenDays

GOOD_START_SHARE = 0.08  # of the ceiling, a quarter above the least: pours and counts are off; our choice
# Times the volume. FAO 471 s. 3.3 (copy) has T. suecica topped up to twice what stays; s. 3.2.2 (copy) has 20-50 mL of
# starter in 250 mL of fresh medium, 1:6 to 1:13.5, of which we take the tenfold.
LEAST_STEP, MOST_STEP = 2.0, 10.0
NEARLY_FULL_SHARE = 0.9  # of the working volume: a vessel filled so far is not topped up; our choice
MOST_WAIT = 3  # open days by which a top-up may wait once it is possible; our choice
MOST_DAYS = 120  # a culture that is not at its working volume by then never will be; our choice
ROUNDING = 1e-9  # of a volume
THIN_ROUNDING = 1e-3  # of the least share: the least share itself is not thin


class TopUp(NamedTuple):
    """A day on which seawater is poured in, and the litres that stand in the vessel then.

    `number` counts the top-ups of the batch; `options` are the days that it could be on instead, its own among them.
    """

    number: int
    on: date
    to_l: float
    options: tuple[date, ...]


class ScaleUp(NamedTuple):
    """The top-ups to come of one batch, and its broth on the day of the last (as it was, where there is none).

    `full`: the working volume is reached with them.
    """

    topups: tuple[TopUp, ...]
    broth: Broth
    on: date
    full: bool


def first_fill_l(bench: Bench, seed_l: float, density_per_ml: float) -> float:
    """Litres to which a vessel is filled at first from an inoculum of some litres and cells per mL.

    The working volume where that starts at `MIN_START_SHARE` of the ceiling or above. Else the volume that starts at
    `GOOD_START_SHARE`, from a tenth to a half of the working volume, so that every step is 1:2 to 1:10. Where even the
    tenth is under `MIN_START_SHARE`, the start is thin: see `is_thin`. Never less than the inoculum itself.
    """
    whole_l = bench.vessel.fill_l
    in_one_litre = seed_l * density_per_ml
    if not _is_thin(bench, in_one_litre / whole_l):
        return whole_l
    good_l = in_one_litre / (GOOD_START_SHARE * _ceiling_per_ml(bench))
    return min(whole_l, max(min(good_l, whole_l / LEAST_STEP), whole_l / MOST_STEP, seed_l))


def is_thin(bench: Bench, broth: Broth) -> bool:
    """True for a start under `MIN_START_SHARE` of the ceiling."""
    return _is_thin(bench, broth.density_per_ml)


def is_filling(bench: Bench, volume_l: float) -> bool:
    """True for a fresh filling that is to be topped up to the working volume."""
    return volume_l < NEARLY_FULL_SHARE * bench.vessel.fill_l


def topup_l(bench: Bench, broth: Broth) -> float | None:
    """Litres to which a culture can be brought at `GOOD_START_SHARE` of the ceiling or above; None if not yet.

    The working volume if it is in reach, in one step of 1:10 at the most. Else at least twice its volume, and no more
    than half the working volume, so that the last step is not a small one.
    """
    whole_l, volume_l = bench.vessel.fill_l, broth.volume_l
    dense_l = volume_l * broth.density_per_ml / (GOOD_START_SHARE * _ceiling_per_ml(bench))
    reach_l = min(dense_l, MOST_STEP * volume_l)
    if reach_l >= whole_l * (1.0 - ROUNDING):
        return whole_l
    step_l = min(reach_l, whole_l / LEAST_STEP)
    return step_l if step_l >= LEAST_STEP * volume_l * (1.0 - ROUNDING) else None


def scale_up(
    bench: Bench,
    broth: Broth,
    on: date,
    earliest: date,
    open_days: OpenDays,
    done: int = 0,
    decided: Mapping[int, date] | None = None,
) -> ScaleUp:
    """The top-ups of a culture that is being filled, from its broth on a day, after so many that are `done`.

    Each may be on the first open day, from `earliest` on, on which `topup_l` allows one, or on one of `MOST_WAIT` open
    days after it. It is on the day `decided` for its number if that is one of these, else on the first.
    """
    found: list[TopUp] = []
    last = on + timedelta(days=min(MOST_DAYS, max(0, (date.max - on).days - 1)))
    day = open_days.on_or_after(max(on, earliest), last)
    full = False
    while day is not None and not full:
        options = tuple(_topup_days(bench, broth, on, day, last, open_days))
        if not options:
            break
        number = done + len(found) + 1
        wanted = None if decided is None else decided.get(number)
        day = options[0] if wanted not in options else wanted
        grown = bench.grow(broth, float((day - on).days))
        to_l = topup_l(bench, grown)
        assert to_l is not None  # each of the days allows one
        found.append(TopUp(number, day, to_l, options))
        broth, on = bench.topped_up(grown, to_l - grown.volume_l), day
        full = to_l >= bench.vessel.fill_l
        day = open_days.on_or_after(day + DAY, last) if day < last else None
    return ScaleUp(tuple(found), broth, on, full)


def _topup_days(
    bench: Bench, broth: Broth, on: date, first: date, last: date, open_days: OpenDays
) -> Iterator[date]:
    """The open days, from `first` on, on which a culture may be topped up next."""
    day: date | None = first
    found = 0
    while day is not None and found <= MOST_WAIT:
        if topup_l(bench, bench.grow(broth, float((day - on).days))) is not None:
            found += 1
            yield day
        day = open_days.on_or_after(day + DAY, last) if day < last else None


def _is_thin(bench: Bench, density_per_ml: float) -> bool:
    return density_per_ml < MIN_START_SHARE * (1.0 - THIN_ROUNDING) * _ceiling_per_ml(bench)


def _ceiling_per_ml(bench: Bench) -> float:
    return bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
