"""The results of simulated seasons as a page: chances with intervals, and a histogram."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from greenrota.risk.hazard import LoggedRate
from greenrota.risk.outcome import Difference, Estimate, Outcome
from greenrota.rota.wording import numbered
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable
from greenrota.views.text.table import Column, render_table

_BARS = 40  # columns of the longest bar; our choice
_BINS = 12  # bars of the histogram; our choice
_ASSUMED = (
    "Chances of mishaps are our choice unless the plan's [risk] table or the logbook replaces them; "
    "compare plans with them rather than trust the last digit."
)

_ORDER = (
    "The order of a day: mishaps fall in the night; by day come the planned work, then, on working days, the harvest "
    "of what is ripe and the restart of empty vessels; the ration is given last, the day's harvest included."
)


@dataclass(frozen=True, slots=True)
class PlanRisk:
    """One simulated plan: what it is called, what came out, and how fast.

    `planned_short_days` go short by the plan itself, with no mishap at all; `vessels` counts those of the plan. Short
    days count from `counted_from` on, None where nothing is harvested.
    """

    name: str
    outcome: Outcome
    vessels: int
    seed: int
    planned_short_days: int
    seconds: float
    counted_from: date | None = None

    @property
    def vessel_days_per_s(self) -> float:
        """Vessel-days simulated in a second."""
        return self.outcome.seasons * self.outcome.days * self.vessels / max(self.seconds, 1e-9)


@dataclass(frozen=True, slots=True)
class Compared:
    """A second plan simulated with the same random events, and the difference it makes."""

    plan: PlanRisk
    change: Difference


@dataclass(frozen=True, slots=True)
class RiskReport:
    """Everything that pages show of a risk: the plan, a compared one (None: none), the rates that the logbook counts.

    Text, picture and JSON are views of it.
    """

    plan: PlanRisk
    compared: Compared | None = None
    rates: tuple[LoggedRate, ...] = ()


def risk_page(report: RiskReport, width: int | None = None, ascii_only: bool = False) -> str:
    """The page. No newline at the end."""
    plan, compared, rates = report.plan, report.compared, report.rates
    blocks = [_head(plan), _figures(plan, width)]
    blocks.append(_causes(plan, width))
    blocks.append(histogram(plan.outcome.histogram, ascii_only))
    if compared is not None:
        blocks.append(_comparison(plan, compared, width))
    if rates:
        blocks.append(_rates(rates, width))
    blocks += ["\n".join(hanging("", text, width)) for text in (_ORDER, _ASSUMED)]
    return "\n\n".join(blocks)


def _head(plan: PlanRisk) -> str:
    found = plan.outcome
    played = f"{numbered(found.seasons, 'season')} of {numbered(found.days, 'day')}"
    return printable(f"{plan.name}: {played}, {numbered(plan.vessels, 'vessel')}, seed {plan.seed}")


def _figures(plan: PlanRisk, width: int | None) -> str:
    found = plan.outcome
    rows = [["strain lost", percent(found.lost.value), percents(found.lost)]]
    if len(found.lost_by_strain) > 1:
        rows += [
            [f"  {name}", percent(share.value), percents(share)]
            for name, share in found.lost_by_strain.items()
        ]
    rows += [
        ["any day short of feed", percent(found.short.value), percents(found.short)],
        ["short days a season", f"{found.short_days.value:.2f}", _days(found.short_days)],
        ["nine seasons in ten stay within", f"{found.short_days_p90.value:.0f}", _days(found.short_days_p90)],
    ]
    columns = [Column("chance or days"), Column("figure", number=True), Column("95 % interval")]
    return "\n".join([render_table(columns, rows, width), *hanging("", counted_text(plan), width, 2)])


def counted_text(plan: PlanRisk) -> str:
    """On which days a shortage counts, and how many of them go short by the plan itself."""
    found = plan.outcome
    if found.feeding_days == 0 or plan.counted_from is None:
        return "Nothing is harvested within the horizon, so no day counts as short."
    text = counted_on(found.feeding_days, plan.counted_from, found.days - found.feeding_days)
    days = numbered(plan.planned_short_days, "day goes", "days go")
    return text + (f"; {days} short even if nothing goes wrong." if plan.planned_short_days else ".")


def counted_on(days: int, first: date, before: int) -> str:
    """The days on which a shortage counts, in words.

    >>> counted_on(17, date(2027, 12, 12), 14)
    'Counted on 17 days from Sun 2027-12-12; the 14 before have no feed yet'
    """
    text = f"Counted on {numbered(days, 'day')} from {day_text(first)}"
    if not before:
        return text
    return (
        f"{text}; the {before} before have no feed yet"
        if before > 1
        else f"{text}; the one before has no feed yet"
    )


def _causes(plan: PlanRisk, width: int | None) -> str:
    found = plan.outcome
    rows = [
        [cause, f"{share.value:.3f}", _days(share, 3), percent(found.lost_by[cause].value)]
        for cause, share in found.losses.items()
    ]
    columns = [
        Column("cause"),
        Column("vessels lost a season", number=True),
        Column("95 % interval"),
        Column("of strains lost", number=True),
    ]
    said = f"\nmost of it: {found.dominant}" if found.dominant else "\nnothing was lost"
    return render_table(columns, rows, width) + said


def histogram(counts: Sequence[int], ascii_only: bool = False) -> str:
    """Seasons by short days, as bars; counts of 0, 1, 2, ... short days, at least one.

    >>> print(histogram([3, 1], ascii_only=True))
    short days  seasons
    0           75.0 %  ########################################
    1           25.0 %  #############
    """
    total, bins = sum(counts), bins_of(len(counts))
    shares = [sum(counts[first : last + 1]) / total for first, last in bins]
    sign = "#" if ascii_only else "\u2588"
    lines = ["short days  seasons"]
    for days, share in zip(bins, shares, strict=True):
        bar = sign * round(_BARS * share / max(shares))
        lines.append(f"{bin_of_days(days):10}  {percent(share):>6}  {bar}".rstrip())
    return "\n".join(lines)


def bins_of(numbers: int) -> list[tuple[int, int]]:
    """First and last of the short days put into each bar, for 0 up to `numbers - 1` of them; none stand alone.

    >>> bins_of(25)[:3], bins_of(25)[-1]
    ([(0, 0), (1, 3), (4, 6)], (22, 24))
    """
    step = max(1, -(-(numbers - 1) // (_BINS - 1)))
    return [(0, 0)] + [(first, min(first + step, numbers) - 1) for first in range(1, numbers, step)]


def bin_of_days(days: tuple[int, int]) -> str:
    """The days of a bar in words."""
    first, last = days
    return f"{first}" if first == last else f"{first}-{last}"


def _comparison(plan: PlanRisk, compared: Compared, width: int | None) -> str:
    here, other, change = plan.outcome, compared.plan.outcome, compared.change
    rows = [
        ["strain lost", percent(here.lost.value), percent(other.lost.value), _points(change.lost)],
        ["any day short", percent(here.short.value), percent(other.short.value), _points(change.short)],
        [
            "short days a season",
            f"{here.short_days.value:.2f}",
            f"{other.short_days.value:.2f}",
            f"{change.short_days.value:+.2f} ({change.short_days.low:+.2f} to {change.short_days.high:+.2f})",
        ],
    ]
    columns = [
        Column("same luck"),
        Column(plan.name, number=True),
        Column(compared.plan.name, number=True),
        Column("difference (95 % interval)"),
    ]
    return render_table(columns, rows, width)


def _rates(rates: Sequence[LoggedRate], width: int | None) -> str:
    rows = [
        [
            rate.cause,
            str(rate.events),
            str(rate.exposure_days),
            f"{rate.per_day:.4f}",
            f"{rate.low_per_day:.4f} to {rate.high_per_day:.4f}",
        ]
        for rate in rates
    ]
    columns = [
        Column("by the logbook"),
        Column("events", number=True),
        Column("days", number=True),
        Column("a day", number=True),
        Column("95 % interval"),
    ]
    return render_table(columns, rows, width)


def percent(share: float) -> str:
    """A share in percent, one decimal; small ones with more so that they do not read as none.

    >>> percent(0.25), percent(0.0004), percent(0.0)
    ('25.0 %', '0.04 %', '0.0 %')
    """
    return f"{share:.2%}".replace("%", " %") if 0.0 < share < 0.001 else f"{share:.1%}".replace("%", " %")


def percents(found: Estimate) -> str:
    """An interval of shares in percent."""
    return f"{percent(found.low)} to {percent(found.high)}"


def _points(found: Estimate) -> str:
    return f"{found.value:+.2%} ({found.low:+.2%} to {found.high:+.2%})".replace("%", " %")


def _days(found: Estimate, digits: int = 2) -> str:
    if abs(found.low) == float("inf"):
        return "one season tells none"
    return f"{found.low:.{digits}f} to {found.high:.{digits}f}"
