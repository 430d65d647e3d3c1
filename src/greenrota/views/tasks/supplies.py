"""Supplies: what a rota uses up, the shopping list and the cost, as a page and as JSON."""

from __future__ import annotations

from collections.abc import Iterator

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.cost import Cost, cost
from greenrota.rota.tasks.measured import as_poured
from greenrota.rota.tasks.supplies import (
    BLEACH_PERCENT,
    RINSES,
    SOAK_CHLORINE_MG_PER_L,
    Purchase,
    Supplies,
    left_in_bottle_ml,
    runs_dry,
    shopping,
    supplies,
    unmixed_shares,
)
from greenrota.rota.wording import numbered
from greenrota.views.tasks import care
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure, json_document
from greenrota.views.text.lettering import printable, wrap
from greenrota.views.text.table import Column, render_table

FORMAT = "greenrota/supplies/1"


def supplies_page(rota: Rota, width: int | None = None) -> str:
    """What is used up, what to buy, what it costs, and the cautions; no newline at the end.

    `width` wraps to the screen; None wraps nothing.
    """
    tasks = as_poured(rota.tasks)  # as measured, so that the sums agree with the tasks shown
    unmixed = unmixed_shares(rota.tasks)
    used = supplies(rota.plan, tasks, unmixed)
    head = f"{rota.plan.name}: supplies from {day_text(rota.as_of)} through {day_text(rota.through)}"
    blocks = [printable(head), _used_table(rota, used, width), _notes(used)]
    blocks += ["\n".join(("To buy", *_buying(rota)))]
    costs = cost(rota.plan, supplies(rota.plan, rota.tasks, unmixed))
    if costs.items:
        blocks.append("\n".join(_costs(costs)))
    if used.cautions:
        blocks.append("\n".join(("Take care", *(care.whole(CAUTIONS[key]) for key in used.cautions))))
    return "\n\n".join(block if width is None else _wrapped(block, width) for block in blocks)


def _wrapped(block: str, width: int) -> str:
    lines = []
    for line in block.split("\n"):
        first, *rest = [line] if len(line) <= width else wrap(line, width)
        lines += [first, *rest]
    return "\n".join(lines)


def _used_table(rota: Rota, used: Supplies, width: int | None) -> str:
    units = rota.plan.units
    dry = runs_dry(rota.plan, rota.tasks, rota.poured)
    rows = []
    for name, ml in used.nutrient_ml.items():
        left_ml = left_in_bottle_ml(rota.plan, name, rota.poured)
        there = "not given" if left_ml is None else amount.volume(left_ml, units)
        end = "-" if left_ml is None else "lasts"
        rows.append(
            (f"nutrient {name}", amount.volume(ml, units), there, day_text(dry[name]) if name in dry else end)
        )
    for name, ml in used.starter_ml.items():
        bottle = rota.state.bottles.get(f"starter:{name}")
        there = "-" if bottle is None else amount.volume(bottle.volume_ml, units)
        rows.append((f"starter {name}", amount.volume(ml, units), there, "-"))
    rows += [
        ("dry salt", amount.mass(used.salt_g, units), "-", "-"),
        ("bleach", amount.volume(used.bleach_ml, units), "-", "-"),
        ("fresh water", amount.volume(used.fresh_water_ml, units), "-", "-"),
    ]
    columns = [
        Column("what"),
        Column("used", number=True),
        Column("on hand", number=True),
        Column("runs dry"),
    ]
    return render_table(columns, rows, width)


def _notes(used: Supplies) -> str:
    lines = [
        f"Salt and fresh water still to be mixed make {amount.volume(used.seawater_ml)} of seawater; "
        "what evaporates is not counted, top it up with fresh water."
    ]
    if used.cleanings:
        soaks = numbered(used.cleanings, "cleaning")
        lines.append(
            f"Bleach of {BLEACH_PERCENT:g} % for {soaks}: a brimful soak at {SOAK_CHLORINE_MG_PER_L:g} mg/L "
            f"and {RINSES} rinses take {amount.volume(used.cleaning_ml)} of fresh water."
        )
    return "\n".join(lines)


def _buying(rota: Rota) -> Iterator[str]:
    bought = shopping(rota.plan, as_poured(rota.tasks), rota.poured, unmixed_shares(rota.tasks))
    if not bought:
        yield "- nothing"
    for purchase in bought:
        yield printable(f"- {_purchase(purchase, rota.plan.units)}")


def _purchase(purchase: Purchase, units: str) -> str:
    measured = amount.volume if purchase.unit == "mL" else amount.mass
    text = f"{purchase.what}: {measured(purchase.amount, units)}"
    if purchase.bottles is not None:
        text += f", {numbered(purchase.bottles, 'bottle')}"
    return text if purchase.by is None else f"{text}, by {day_text(purchase.by)}"


def _costs(costs: Cost) -> Iterator[str]:
    yield printable(f"Cost{f' in {costs.currency}' if costs.currency else ''}")
    rows = [(what, f"{figure_:.2f}") for what, figure_ in costs.items.items()]
    rows.append(("together", f"{costs.total:.2f}"))
    if costs.per_feed_l is not None:
        rows.append(("a litre of feed", f"{costs.per_feed_l:.2f}"))
    yield render_table([Column("what"), Column("cost", number=True)], rows)
    if costs.unpriced:
        yield printable(f"Without a price in the plan, and not counted: {', '.join(costs.unpriced)}.")
    yield "Light, power and work are not counted."


def supplies_json(rota: Rota) -> str:
    """What is used up as one JSON object of format `greenrota/supplies/1`; `cost` is null without prices."""
    unmixed = unmixed_shares(rota.tasks)
    used = supplies(rota.plan, rota.tasks, unmixed)
    dry = runs_dry(rota.plan, rota.tasks, rota.poured)
    costs = cost(rota.plan, used)
    answer = {
        "as_of": rota.as_of.isoformat(),
        "through": rota.through.isoformat(),
        "nutrient_ml": {name: figure(ml) for name, ml in used.nutrient_ml.items()},
        "nutrient_left_ml": {
            name: figure(left_in_bottle_ml(rota.plan, name, rota.poured)) for name in used.nutrient_ml
        },
        "runs_dry": {name: dry[name].isoformat() if name in dry else None for name in used.nutrient_ml},
        "starter_ml": {name: figure(ml) for name, ml in used.starter_ml.items()},
        "salt_g": figure(used.salt_g),
        "seawater_ml": figure(used.seawater_ml),
        "fresh_water_ml": figure(used.fresh_water_ml),
        "cleanings": used.cleanings,
        "bleach_ml": figure(used.bleach_ml),
        "feed_ml": figure(used.feed_ml),
        "buy": [_bought(purchase) for purchase in shopping(rota.plan, rota.tasks, rota.poured, unmixed)],
        "cost": _cost(costs) if costs.items else None,
        "cautions": [CAUTIONS[key].text for key in used.cautions],
    }
    return json_document(FORMAT, answer)


def _bought(purchase: Purchase) -> dict[str, object]:
    key = {"mL": "missing_ml", "g": "missing_g"}[purchase.unit]
    return {
        "what": purchase.what,
        key: figure(purchase.amount),
        "bottles": purchase.bottles,
        "by": None if purchase.by is None else purchase.by.isoformat(),
    }


def _cost(costs: Cost) -> dict[str, object]:
    return {
        "currency": costs.currency,
        "items": {what: round(price, 2) for what, price in costs.items.items()},
        "unpriced": list(costs.unpriced),
        "total": round(costs.total, 2),
        "per_feed_l": None if costs.per_feed_l is None else round(costs.per_feed_l, 2),
    }
