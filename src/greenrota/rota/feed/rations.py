"""Rations: who gets how much of the harvest every day, of which strains, and in which order."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.plan import TANK, Consumer, Diet, Plan
from greenrota.rota.state.cycle import RIPE_SHARE
from greenrota.rota.state.state import HarvestBottle, vessel_of

KEEPS_DAYS = 14  # for a plan without a tank: the default of [tank] keeps; common practice, no source
# Share of the ration on the first days of feeding, then the whole: two days a step, so that full rations begin on
# the seventh day. Common practice, no source; the length of a step is our choice.
RAMP = (0.25, 0.25, 0.50, 0.50, 0.75, 0.75)


class Want(NamedTuple):
    """One claim on the harvest bottles, day by day.

    `amount` is in mL a day, or in cells a day where `in_cells` is set. `strains` None: every strain will do.
    `usual_per_ml` is the density of a ripe harvest here, by which missing cells are converted to mL.
    """

    consumer: str
    strains: frozenset[str] | None
    amount: float
    in_cells: bool
    usual_per_ml: float
    ramp: bool

    def suits(self, strain: str) -> bool:
        """True for a strain that may serve this claim."""
        return self.strains is None or strain in self.strains

    def on_day(self, feeding_day: int) -> float:
        """The claim on a day, counted from 0 on the first day of feeding; before it the first step of a ramp.

        >>> want = Want("tank", None, 100.0, False, 1e6, ramp=True)
        >>> [want.on_day(day) for day in (-1, 0, 2, 4, 6)]
        [25.0, 25.0, 50.0, 75.0, 100.0]
        """
        if not self.ramp or feeding_day >= len(RAMP):
            return self.amount
        return self.amount * RAMP[max(0, feeding_day)]

    @property
    def usual_ml(self) -> float:
        """The full daily claim in mL; cells are converted by the density of a usual harvest."""
        return self.amount / self.usual_per_ml if self.in_cells else self.amount


def consumers(plan: Plan) -> tuple[Consumer, ...]:
    """Everybody who is fed, the tank as `TANK` among them, in the order in which they are served.

    A lower priority number is served first; among equals the tank, then the order of the plan.
    """
    everybody = list(plan.consumers)
    if plan.tank is not None:
        tank = plan.tank
        ration_ml, cells_per_ml = tank.ration_ml_per_day, tank.ration_cells_per_ml
        as_one = Consumer(TANK, ration_ml, cells_per_ml, tank.volume_l, tank.diet, tank.priority, tank.ramp)
        everybody.insert(0, as_one)
    return tuple(sorted(everybody, key=lambda consumer: consumer.priority))


def wants(plan: Plan) -> tuple[Want, ...]:
    """All claims of a day, in the order in which they are served; a diet in shares makes one claim a strain."""
    return tuple(want for consumer in consumers(plan) for want in _claims(plan, consumer))


def usual_ration_ml_per_day(plan: Plan) -> float:
    """What all consumers together are fed on a day, in mL; rations in cells at the density of a usual harvest."""
    return sum(want.usual_ml for want in wants(plan))


def keeps_days(plan: Plan) -> int:
    """For how many days after it was filled a harvest bottle is usable."""
    return KEEPS_DAYS if plan.tank is None else plan.tank.keeps_days


def _claims(plan: Plan, consumer: Consumer) -> Iterator[Want]:
    amount, in_cells = consumer.ration_ml_per_day, consumer.ration_cells_per_ml is not None
    if consumer.ration_cells_per_ml is not None and consumer.volume_l is not None:
        amount = consumer.ration_cells_per_ml * consumer.volume_l * ML_PER_L
    for strains, share in _parts(consumer.diet):
        usual_per_ml = usual_density_per_ml(plan, strains)
        yield Want(consumer.name, strains, amount * share, in_cells, usual_per_ml, consumer.ramp)


def _parts(diet: Diet) -> list[tuple[frozenset[str] | None, float]]:
    if diet.shares:
        return [(frozenset({strain}), share) for strain, share in diet.shares if share > 0.0]
    return [(frozenset(diet.any_of) or None, 1.0)]


def usual_density_per_ml(plan: Plan, strains: frozenset[str] | None) -> float:
    """Density of a just ripe harvest, averaged over the vessels that grow one of the strains (None: any).

    Where no vessel does, over all vessels. Source: `RIPE_SHARE` of the bench ceiling; a planning figure.
    """
    grown = [v for v in plan.vessels if strains is None or v.strain in strains] or plan.vessels
    tops = [bench_ceiling_per_ml(plan.strains[vessel.strain], vessel.fill_l) for vessel in grown]
    return RIPE_SHARE * sum(tops) / len(tops)


def given_to_animals(plan: Plan, harvests: Iterable[HarvestBottle]) -> list[HarvestBottle]:
    """The bottles that rations are planned on: good ones, no back-up that was replaced, none of a standby vessel.

    A vessel that has left the plan counts: its bottle still stands in the fridge.
    """
    return [
        harvest
        for harvest in of_feeding_vessels(plan, harvests)
        if harvest.barred_on is None and not harvest.is_back_up
    ]


def of_feeding_vessels(plan: Plan, harvests: Iterable[HarvestBottle]) -> list[HarvestBottle]:
    """The bottles that are there for the animals: all but those of standby vessels."""
    standby = standby_vessels(plan)
    return [harvest for harvest in harvests if vessel_of(harvest.batch) not in standby]


def standby_vessels(plan: Plan) -> frozenset[str]:
    """The names of the vessels that are kept alive as a back-up only."""
    return frozenset(vessel.name for vessel in plan.vessels if vessel.role == "standby")


def grown_for_animals(plan: Plan) -> frozenset[str]:
    """The strains that grow in a vessel whose harvest is given to animals."""
    standby = standby_vessels(plan)
    return frozenset(vessel.strain for vessel in plan.vessels if vessel.name not in standby)
