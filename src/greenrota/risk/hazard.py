"""Hazards: what can kill a culture and how often, by assumption, by the plan or as counted in the logbook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from greenrota.culture.bench.count import poisson_interval
from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import LogKind
from greenrota.rota.plan import Hazards

CRASH = 0.001  # per vessel and day, any cause of its own: about one in three years of one vessel; our choice
OVER_RIPE = (
    0.02  # more per vessel and day while over-ripe: an over-ripe culture seldom lasts two months; our choice
)
CONTAMINATION = 0.0005  # per vessel and day right after cleaning; our choice
FOULING_DAYS = 30.0  # since cleaning, after which that chance has doubled, then trebled, ...; our choice
HIDDEN_DAYS = 4  # from catching a contamination to seeing it; our choice
POWER_CUT = 1 / 365  # a day for all vessels at once: one long cut a year; our choice
POWER_CUT_LOSS = 0.15  # of the vessels a long cut kills; our choice
HEAT_WAVE = 1 / 365  # a day for all vessels at once: one a year; our choice
HEAT_WAVE_LOSS = 0.30  # of the vessels; our choice
FORGOTTEN_AIR = 1 / 180  # a day for all vessels at once: twice a year; our choice
FORGOTTEN_AIR_LOSS = 0.20  # of the vessels; our choice

CAUSES = ("crash", "over-ripe", "contamination", "power cut", "heat wave", "forgotten air")
OF_ITS_OWN, TOO_RIPE, CAUGHT = 0, 1, 2  # places in CAUSES; the rest hit all vessels at once
FIRST_BLOW = 3

_LOST: tuple[LogKind, ...] = ("crashed", "discarded")  # kinds of entry that end the days lived by a vessel
# which logbook causes count for which hazard; salinity slips and unknown causes are a vessel's own crash
_LOGGED = {
    "crash": ("salinity-slip", "unknown"),
    "over-ripe": ("over-age",),
    "contamination": ("contamination",),
    "power cut": ("light-failure",),
    "heat wave": ("overheating",),
    "forgotten air": ("air-failure",),
}


@dataclass(frozen=True, slots=True)
class Blow:
    """An event that hits all vessels at once: its chance a day, and the chance of each vessel to die of it, 0..1."""

    per_day: float
    loss_share: float


@dataclass(frozen=True, slots=True)
class Danger:
    """Every chance the simulation needs, all 0..1.

    `crash`, `over_ripe` (while over-ripe) and `contamination` are per vessel and day. The last holds on the day of
    cleaning and rises by the same amount every `fouling_days`. `blows` stand in the order of `CAUSES`.
    """

    crash: float
    over_ripe: float
    contamination: float
    fouling_days: float
    hidden_days: int
    blows: tuple[Blow, Blow, Blow]


def danger_for(hazards: Hazards | None) -> Danger:
    """The chances of a plan; what its `[risk]` table leaves out is our choice, see the constants above.

    >>> danger_for(None).crash
    0.001
    """
    own = hazards or Hazards()

    def given(value: float | None, default: float) -> float:
        return default if value is None else value

    return Danger(
        crash=given(own.crash_per_day, CRASH),
        over_ripe=given(own.over_ripe_per_day, OVER_RIPE),
        contamination=given(own.contamination_per_day, CONTAMINATION),
        fouling_days=given(own.fouling_days, FOULING_DAYS),
        hidden_days=HIDDEN_DAYS if own.hidden_days is None else own.hidden_days,
        blows=(
            Blow(given(own.power_cut_per_day, POWER_CUT), given(own.power_cut_loss, POWER_CUT_LOSS)),
            Blow(given(own.heat_wave_per_day, HEAT_WAVE), given(own.heat_wave_loss, HEAT_WAVE_LOSS)),
            Blow(
                given(own.forgotten_air_per_day, FORGOTTEN_AIR),
                given(own.forgotten_air_loss, FORGOTTEN_AIR_LOSS),
            ),
        ),
    )


def scaled(danger: Danger, factor: float) -> Danger:
    """The same dangers so many times as frequent (factor >= 0); no chance grows past 1.

    >>> scaled(danger_for(None), 2.0).crash
    0.002
    """

    def times(chance: float) -> float:
        return min(1.0, chance * factor)

    power, heat, air = (replace(blow, per_day=times(blow.per_day)) for blow in danger.blows)
    return replace(
        danger,
        crash=times(danger.crash),
        over_ripe=times(danger.over_ripe),
        contamination=times(danger.contamination),
        blows=(power, heat, air),
    )


@dataclass(frozen=True, slots=True)
class LoggedRate:
    """How often a hazard struck by the logbook: events over `exposure_days`, with the exact 95 % interval.

    The exposure is in vessel-days for what hits one vessel, in days for what hits all vessels at once.
    """

    cause: str
    events: int
    exposure_days: int
    per_day: float
    low_per_day: float
    high_per_day: float


def logged_rates(entries: Sequence[Entry], as_of: date, confidence: float = 0.95) -> tuple[LoggedRate, ...]:
    """Rates counted from a logbook up to a day, hazard by hazard; empty if nothing has lived yet.

    Several vessels lost on one day to a cause that hits all at once are one event. `entries` without voided ones.
    Source: events are Poisson; interval of Garwood (1936), see `culture.count`.
    """
    vessel_days, days_with_life = _exposure(entries, as_of)
    rates = []
    for place, (cause, words) in enumerate(_LOGGED.items()):
        struck = [e for e in entries if e.kind == "crashed" and e.on <= as_of and e.text("cause") in words]
        blow = place >= FIRST_BLOW
        events = len({e.on for e in struck}) if blow else len(struck)
        exposure = days_with_life if blow else vessel_days
        if exposure > 0:
            low, high = poisson_interval(events, confidence)
            rates.append(
                LoggedRate(cause, events, exposure, events / exposure, low / exposure, high / exposure)
            )
    return tuple(rates)


def with_logged(danger: Danger, rates: Sequence[LoggedRate]) -> Danger:
    """The dangers with counted rates in place of the assumed ones, where at least one event was counted.

    A hazard without an event keeps its assumed chance, for a short logbook without one proves nothing. The over-ripe
    chance is kept too, because the logbook does not say how long a culture was over-ripe.
    """
    seen = {rate.cause: min(1.0, rate.per_day) for rate in rates if rate.events > 0}
    power, heat, air = (
        replace(blow, per_day=seen.get(cause, blow.per_day))
        for blow, cause in zip(danger.blows, CAUSES[FIRST_BLOW:], strict=True)
    )
    return replace(
        danger,
        crash=seen.get("crash", danger.crash),
        contamination=seen.get("contamination", danger.contamination),
        blows=(power, heat, air),
    )


def _exposure(entries: Sequence[Entry], as_of: date) -> tuple[int, int]:
    """Days lived by all vessels together, and days on which anything lived, up to `as_of`."""
    since: dict[str, date] = {}
    stretches: list[tuple[date, date]] = []
    for entry in entries:
        if entry.on > as_of:
            continue
        if entry.kind == "started":
            since.setdefault(entry.subject, entry.on)
        elif entry.kind in _LOST and entry.subject in since:
            stretches.append((since.pop(entry.subject), entry.on))
    stretches += [(first, as_of) for first in since.values()]
    vessel_days = sum((last - first).days for first, last in stretches)
    lived = {day for first, last in stretches for day in range(first.toordinal(), last.toordinal())}
    return vessel_days, len(lived)
