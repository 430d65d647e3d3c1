"""Size: vessels against chance of short days against working days, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.risk.size import Candidate
from greenrota.rota.wording import numbered
from greenrota.views.risk.risk import counted_on, percent, percents
from greenrota.views.text.document import json_document
from greenrota.views.text.lettering import hanging, printable
from greenrota.views.text.table import Column, render_table

FORMAT = "greenrota/size/1"
_NOTES = (
    "stays: share of a vessel that is carried over at a harvest.",
    'every: days between harvests; with "or so" when it is ripe, else as [cycle] days sets it.',
    "back-up: share of its days in the fridge after which a back-up is replaced.",
    "work: working days. short, lost: chance of any day short of feed, and of losing a strain.",
)


def size_page(name: str, found: Sequence[Candidate], confidence: float, width: int | None = None) -> str:
    """The frontier, one row a number of vessels, and what it says; no newline at the end."""
    rows = [
        [
            str(one.vessels),
            f"{one.keep_share:.0%}",
            f"{one.days}{'' if one.pinned else ' or so'}",
            f"{one.refresh_share:.0%}",
            str(one.work_days),
            percent(one.outcome.short.value),
            percents(one.outcome.short),
            percent(one.outcome.lost.value),
            "yes" if one.meets(confidence) else "no",
        ]
        for one in found
    ]
    columns = [
        Column("vessels", number=True),
        Column("stays", number=True),
        Column("every"),
        Column("back-up", number=True),
        Column("work", number=True),
        Column("short", number=True),
        Column("95 % interval"),
        Column("lost", number=True),
        Column("meets"),
    ]
    head = printable(
        f"{name}: the fewest production vessels that meet the ration at {confidence:.0%} confidence"
    )
    texts = [
        *_NOTES,
        "Days on which a shortage counts, by number of vessels:",
        *(f"  {_counted(one)}" for one in found),
    ]
    notes = "\n".join(line for text in texts for line in hanging("", text, width, 2))
    return "\n\n".join([head, render_table(columns, rows, width), notes, _verdict(found, confidence)])


def _counted(one: Candidate) -> str:
    """The days on which a shortage counts with so many vessels, and how many are short by the plan itself."""
    days, vessels = one.outcome.feeding_days, numbered(one.vessels, "vessel")
    if one.counted_from is None or days == 0:
        return f"{vessels}: nothing is harvested within the horizon"
    text = counted_on(days, one.counted_from, one.outcome.days - days)
    short = numbered(one.planned_short_days, "day goes", "days go")
    more = f"; {short} short even if nothing goes wrong" if one.planned_short_days else ""
    return f"{vessels}: {text[0].lower()}{text[1:]}{more}"


def _verdict(found: Sequence[Candidate], confidence: float) -> str:
    best = fewest(found, confidence)
    if best is None:
        most = numbered(found[-1].vessels, "vessel does", "vessels do")
        return f"Not even {most}: lower the ration, or take larger vessels."
    how = f"{best.keep_share:.0%} carried over every {numbered(best.days, 'day')}"
    pins = f" ([cycle] inoculum = {best.keep_share:g}, days = {best.days})" if best.pinned else ""
    vessels = numbered(best.vessels, "vessel does", "vessels do")
    return f"{vessels}, with {how}{pins}, on {numbered(best.work_days, 'working day')}."


def fewest(found: Sequence[Candidate], confidence: float) -> Candidate | None:
    """The first candidate that meets the confidence; None if there is none."""
    return next((one for one in found if one.meets(confidence)), None)


def size_json(found: Sequence[Candidate], confidence: float, seed: int) -> str:
    """The frontier as one JSON object."""
    best = fewest(found, confidence)
    return json_document(
        FORMAT,
        {
            "confidence": confidence,
            "seasons": found[0].outcome.seasons,
            "seed": seed,
            "days": found[0].outcome.days,
            "vessels": None if best is None else best.vessels,
            "frontier": [
                {
                    "vessels": one.vessels,
                    "inoculum_share": one.keep_share,
                    "interval_days": one.days,
                    "pinned": one.pinned,
                    "backup_refresh_share": one.refresh_share,
                    "work_days": one.work_days,
                    "counted_from": None if one.counted_from is None else one.counted_from.isoformat(),
                    "feeding_days": one.outcome.feeding_days,
                    "planned_short_days": one.planned_short_days,
                    "p_short": one.outcome.short.value,
                    "p_short_low": one.outcome.short.low,
                    "p_short_high": one.outcome.short.high,
                    "p_strain_lost": one.outcome.lost.value,
                    "p_strain_lost_high": one.outcome.lost.high,
                    "mean_short_days": one.outcome.short_days.value,
                    "meets": one.meets(confidence),
                }
                for one in found
            ],
        },
    )
