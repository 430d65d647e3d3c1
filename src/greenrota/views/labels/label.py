"""Labels for vessels and bottles: what each says."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from greenrota.rota.answers.contents import choice_of
from greenrota.rota.feed.rations import keeps_days
from greenrota.rota.kinds import FILLING
from greenrota.rota.plan import Nutrient
from greenrota.rota.rota import Rota
from greenrota.rota.state.state import Batch, FridgeBottle
from greenrota.views.text import amount
from greenrota.views.text.as_written import dose_text, short_salinity_text
from greenrota.views.text.day import dated, short_day

NOT_FOOD = "NOT FOOD"
FROM_CHILDREN = (
    "keep from children"  # on every bottle, for it stands where hands reach; the caution is `food_fridge`
)


class Label(NamedTuple):
    """One label: `code` is what a camera reads (a batch id or a bottle's), `lines` stand below the title.

    `on_vessel`: it hangs on a jar and is read from further away.
    """

    title: str
    code: str
    lines: tuple[str, ...]
    on_vessel: bool = False


def labels(rota: Rota, until: date) -> list[Label]:
    """Labels for what is there on the day the rota is planned from, and for what begins up to a day, included.

    Batches in vessels, bottles of harvested feed, bottles of living culture in the fridge, nutrient bottles.
    """
    begun = _batches(rota, until)
    return [
        *(_batch_label(rota, batch) for batch in begun),
        *_feed_labels(rota, until),
        *(_bottle_label(bottle) for bottle in _bottles(rota, until)),
        *(_nutrient_label(nutrient) for nutrient in rota.plan.nutrients.values()),
    ]


def _batches(rota: Rota, until: date) -> list[Batch]:
    culture = [each.batch for each in rota.state.cultures.values()]
    coming = [event.batch for event in rota.simulation.events if event.kind in FILLING and event.on <= until]
    return list({batch.id: batch for batch in (*culture, *coming)}.values())


def _batch_label(rota: Rota, batch: Batch) -> Label:
    lines = [
        rota.plan.strains[batch.strain].title,
        f"batch {batch.number} from {batch.parent}",
        f"started {dated(batch.started)}",
        short_salinity_text(rota.plan),
    ]
    choice = choice_of(rota, batch.id)
    ripe_on = None if choice is None else choice.projection.pinned_on or choice.projection.ripe_on
    if choice is not None and ripe_on is not None:
        over_on = choice.projection.over_on
        lines.insert(
            0, f"ripe {short_day(ripe_on)}" + ("" if over_on is None else f" to {short_day(over_on)}")
        )
    return Label(batch.vessel, batch.id, tuple(lines), on_vessel=True)


def _feed_labels(rota: Rota, until: date) -> Iterable[Label]:
    keeps = keeps_days(rota.plan)
    for harvest in rota.simulation.state.harvests:
        if rota.as_of <= harvest.on <= until and not harvest.is_back_up:
            last = date.fromordinal(harvest.on.toordinal() + keeps)
            lines = (
                "SUSPECT: give none of it" if harvest.barred_on is not None else f"give until {dated(last)}",
                harvest.strain,
                amount.million_cells(harvest.broth.density_per_ml),
                f"harvested {dated(harvest.on)}",
                FROM_CHILDREN,
            )
            yield Label(f"harvest {harvest.id.partition(':')[2]}", harvest.batch, lines)


def _bottles(rota: Rota, until: date) -> list[FridgeBottle]:
    there = {**rota.state.bottles, **rota.simulation.state.filled}
    return [b for name, b in there.items() if name in rota.state.bottles or rota.as_of <= b.filled <= until]


def _bottle_label(bottle: FridgeBottle) -> Label:
    name = bottle.id.split(":", 1)[-1]
    kind = "starter" if bottle.id.startswith("starter:") else "fridge back-up"
    lines = [
        bottle.strain,
        f"{kind}, since {dated(bottle.filled)}",
        amount.million_cells(bottle.density_per_ml),
        FROM_CHILDREN,
    ]
    return Label(name if kind == "starter" else f"back-up {name}", bottle.id, tuple(lines))


def _nutrient_label(nutrient: Nutrient) -> Label:
    opened = "opened ________" if nutrient.opened is None else f"opened {dated(nutrient.opened)}"
    lines = (
        f"{dose_text(nutrient)} of seawater",
        f"nutrient, {nutrient.medium.title}",
        opened,
        FROM_CHILDREN,
    )
    return Label(nutrient.name, f"nutrient:{nutrient.name}", lines)
