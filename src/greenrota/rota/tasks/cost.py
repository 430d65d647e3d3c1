"""Cost: what the supplies of a rota come to at the prices that the plan gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.plan import Plan
from greenrota.rota.tasks.supplies import Supplies

G_PER_KG = 1000.0


@dataclass(frozen=True, slots=True)
class Cost:
    """What was used, in the plan's currency, item by item; `unpriced` are items that are used and have no price.

    `per_feed_l` is the cost of a litre harvested for the animals in the same time; None if nothing is harvested or
    nothing has a price. It leaves the unpriced items out, and light, power and work always.
    """

    items: Mapping[str, float]
    unpriced: tuple[str, ...]
    total: float
    per_feed_l: float | None
    currency: str


def cost(plan: Plan, used: Supplies) -> Cost:
    """The cost of what is used up: nutrient, salt and bleach by the amount, a starter that is opened as a whole.

    A nutrient is priced by its new bottle (`price` over `size_ml`; without a size, over what the plan says is left).
    """
    amounts: dict[str, float | None] = {
        name: _nutrient_price(plan, name, ml) for name, ml in used.nutrient_ml.items() if ml > 0.0
    }
    prices = {starter.name: starter.price for starter in plan.starters}
    for name, ml in used.starter_ml.items():
        if ml > 0.0:
            amounts[f"starter {name}"] = prices.get(name)
    for what, amount, price in (
        ("dry salt", used.salt_g / G_PER_KG, plan.prices.salt_per_kg),
        ("bleach", used.bleach_ml / ML_PER_L, plan.prices.bleach_per_l),
    ):
        if amount > 0.0:
            amounts[what] = None if price is None else amount * price
    items = {what: figure for what, figure in amounts.items() if figure is not None}
    total = sum(items.values())
    feed_l = used.feed_ml / ML_PER_L
    return Cost(
        items=items,
        unpriced=tuple(what for what, figure in amounts.items() if figure is None),
        total=total,
        per_feed_l=total / feed_l if items and feed_l > 0.0 else None,
        currency=plan.prices.currency,
    )


def _nutrient_price(plan: Plan, name: str, ml: float) -> float | None:
    nutrient = plan.nutrients.get(name)
    if nutrient is None or nutrient.price is None:
        return None
    whole_ml = nutrient.size_ml or nutrient.bottle_ml
    return None if whole_ml is None else nutrient.price * ml / whole_ml
