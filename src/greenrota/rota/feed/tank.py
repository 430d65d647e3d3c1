"""Tank: nitrate and phosphate that come with the rations, as a bracket, added up as if nothing left the tank."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

from greenrota.culture.data.medium import ion_mg_per_l
from greenrota.culture.growth.broth import ML_PER_L, leftover_umol_l
from greenrota.rota.feed.daily import DailyRations, Portion
from greenrota.rota.feed.rations import consumers, grown_for_animals
from greenrota.rota.plan import TANK, Plan

LIMIT_SLACK = 1e-9  # share of a limit that rounding may take, so that a figure just at it passes; our choice


class Bracket(NamedTuple):
    """mg/L of an ion: all taken up by the cells, as projected, and none taken up."""

    low: float = 0.0
    middle: float = 0.0
    high: float = 0.0

    def plus(self, other: "Bracket") -> "Bracket":
        """The sum of both."""
        return Bracket(self.low + other.low, self.middle + other.middle, self.high + other.high)


class TankDay(NamedTuple):
    """What the rations of a day bring to a litre of tank water (mg), and what they have brought since the first day."""

    on: date
    nitrate: Bracket
    phosphate: Bracket
    nitrate_so_far: Bracket
    phosphate_so_far: Bracket


def tank_days(plan: Plan, rations: DailyRations) -> tuple[TankDay, ...]:
    """Nitrate (as NO3) and phosphate (as PO4) that the tank gets with its rations, day by day.

    mg/L of tank water. Low: the cells have taken everything up, nothing is dissolved. High: nothing is taken up,
    or all of it comes free again when cells die. Middle: every cell holds its quota and the rest is dissolved, a
    projection. The sums count neither water changes nor any other export nor what the tank had before: an upper
    bound of what the rations add. Empty for a plan without a tank. Source: mass balance, derived by hand.
    """
    if plan.tank is None:
        return ()
    return tuple(_days(plan, rations, plan.tank.volume_l * ML_PER_L))


def _days(plan: Plan, rations: DailyRations, tank_ml: float) -> Iterator[TankDay]:
    nitrate_so_far = phosphate_so_far = Bracket()
    for day in rations.days:
        nitrate, phosphate = _brought(plan, day.portions, tank_ml)
        nitrate_so_far = nitrate_so_far.plus(nitrate)
        phosphate_so_far = phosphate_so_far.plus(phosphate)
        yield TankDay(day.on, nitrate, phosphate, nitrate_so_far, phosphate_so_far)


def _brought(plan: Plan, portions: Iterable[Portion], tank_ml: float) -> tuple[Bracket, Bracket]:
    nitrate = phosphate = Bracket()
    for portion in portions:
        if portion.consumer != TANK:
            continue
        share, broth = portion.volume_ml / tank_ml, portion.harvest.broth
        strain = plan.strains.get(portion.harvest.strain)
        dissolved = (
            (broth.nitrogen_umol_l, broth.phosphorus_umol_l)
            if strain is None  # grown once, in the plan no more: its quota is not known
            else leftover_umol_l(broth, strain)
        )
        nitrate = nitrate.plus(_bracket("nitrate", dissolved[0], broth.nitrogen_umol_l, share))
        phosphate = phosphate.plus(_bracket("phosphate", dissolved[1], broth.phosphorus_umol_l, share))
    return nitrate, phosphate


def _bracket(ion: str, dissolved_umol_l: float, total_umol_l: float, share: float) -> Bracket:
    return Bracket(0.0, ion_mg_per_l(ion, dissolved_umol_l) * share, ion_mg_per_l(ion, total_umol_l) * share)


def ration_warnings(plan: Plan, rations: DailyRations) -> list[tuple[str, str]]:
    """What to know about the rations, as (code, text): `tank-nitrate`, `tank-phosphate`, `strain-not-grown`.

    The first two compare what the rations add over the horizon with the person's own limits; without limits there
    is nothing to compare, for no figure is agreed on.
    """
    return [*_over_limits(plan, tank_days(plan, rations)), *_not_grown(plan)]


def _over_limits(plan: Plan, days: tuple[TankDay, ...]) -> Iterator[tuple[str, str]]:
    if plan.tank is None or not days:
        return
    for ion, limit, so_far in (
        ("nitrate", plan.tank.nitrate_limit_mg_per_l, [day.nitrate_so_far for day in days]),
        ("phosphate", plan.tank.phosphate_limit_mg_per_l, [day.phosphate_so_far for day in days]),
    ):
        if limit is None:
            continue
        over = limit * (1.0 + LIMIT_SLACK)
        passed = next((day.on for day, sums in zip(days, so_far, strict=True) if sums.high > over), None)
        if passed is not None:
            last = so_far[-1]
            yield (
                f"tank-{ion}",
                f"the feed may add more {ion} than your limit of {limit:g} mg/L from {passed} on: by {days[-1].on} "
                f"between 0 and {last.high:.2g} mg/L, about {last.middle:.2g} as projected, "
                "if no water change or filter takes any away",
            )


def _not_grown(plan: Plan) -> Iterator[tuple[str, str]]:
    grown = grown_for_animals(plan)
    for consumer in consumers(plan):
        diet = consumer.diet
        missing = [strain for strain, _ in diet.shares if strain not in grown]
        if diet.any_of and not grown.intersection(diet.any_of):
            missing = list(diet.any_of)
        if missing:
            names = ", ".join(missing)
            yield (
                "strain-not-grown",
                f"{consumer.name} is to be fed {names}, which no production vessel grows",
            )
