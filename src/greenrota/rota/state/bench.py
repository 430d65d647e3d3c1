"""Bench: a vessel with its strain and the growth rate its place allows, worked out once per plan."""

from datetime import date
from typing import NamedTuple

from greenrota.culture.bench import inoculum
from greenrota.culture.data.strain import Strain
from greenrota.culture.growth.broth import (
    CELLS_PER_UMOL_L_PER_PMOL,
    ML_PER_L,
    Broth,
    Ceiling,
    bench_ceiling_per_ml,
    ceiling,
    ceiling_per_ml,
    diluted,
    dose,
    grow,
)
from greenrota.culture.growth.light import photoperiod_factor
from greenrota.culture.growth.tolerance import cardinal_factor, salinity_factor
from greenrota.culture.water.saltmix import salt_g
from greenrota.rota.plan import Nutrient, Plan, Vessel


class Bench(NamedTuple):
    """A vessel with its strain, nutrient and the rate that its temperature, light and salinity allow.

    The three factors are shares of the strain's best rate, 0..1. `salt_g_per_l` is the dry mix in a litre of
    the seawater that is poured here.
    """

    vessel: Vessel
    strain: Strain
    nutrient: Nutrient
    salinity_psu: float
    temperature_factor: float
    photoperiod_factor: float
    salinity_factor: float
    salt_g_per_l: float

    @property
    def rate_per_day(self) -> float:
        """Growth rate in this place, natural log per day."""
        return (
            self.strain.rate_per_day
            * self.temperature_factor
            * self.photoperiod_factor
            * self.salinity_factor
        )

    @property
    def least_cells(self) -> float:
        """Cells that start the vessel at the lowest share of its ceiling worth starting at."""
        fill_l = self.vessel.fill_l
        return fill_l * ML_PER_L * inoculum.MIN_START_SHARE * bench_ceiling_per_ml(self.strain, fill_l)

    def lit(self, light_h: float | None) -> "Bench":
        """The same place under another photoperiod, in hours a day; None for its usual one."""
        if light_h is None:
            return self
        return self._replace(photoperiod_factor=photoperiod_factor(light_h))

    def ceiling(self, broth: Broth) -> Ceiling:
        """The ceiling of the vessel filled to its working volume: a vessel drawn low is lit no better."""
        return ceiling(broth, self.strain, self.vessel.fill_l)

    def ceiling_per_ml(self, broth: Broth) -> float:
        """The density of `ceiling` alone."""
        return ceiling_per_ml(broth, self.strain, self.vessel.fill_l)

    def grow(self, broth: Broth, days: float) -> Broth:
        """The broth some untouched days later in this place."""
        return grow(broth, self.ceiling_per_ml(broth), self.rate_per_day, days)

    def dosed(self, broth: Broth, label_doses_l: float) -> Broth:
        """The broth after the label dose for so many litres (litres times strength)."""
        medium = self.nutrient.medium
        return dose(
            broth,
            medium.nitrogen_umol_l * label_doses_l,
            medium.phosphorus_umol_l * label_doses_l,
            medium.silicon_umol_l * label_doses_l,
        )

    def topped_up(self, broth: Broth, seawater_l: float) -> Broth:
        """The broth with so many litres of new seawater poured in, and the label dose for these alone."""
        return self.dosed(diluted(broth, seawater_l, self.salinity_psu), seawater_l)

    def bottled(self, volume_l: float, density_per_ml: float, filled: date, on: date) -> Broth:
        """Culture poured from a fridge bottle on a day: the living share of it, with its lag.

        Its cells are taken to hold their quota and the water to hold nothing more.
        """
        age_days = float(max(0, (on - filled).days))
        alive_per_ml = density_per_ml * inoculum.fridge_share_alive(age_days, self.strain.fridge_days)
        umol_l = alive_per_ml / CELLS_PER_UMOL_L_PER_PMOL
        return Broth(
            volume_l=volume_l,
            density_per_ml=alive_per_ml,
            nitrogen_umol_l=self.strain.n_pmol * umol_l,
            phosphorus_umol_l=self.strain.p_pmol * umol_l,
            silicon_umol_l=self.strain.si_pmol * umol_l,
            salinity_psu=self.salinity_psu,
            lag_days=inoculum.lag_days(age_days, self.strain.fridge_days),
        )


def benches(plan: Plan) -> dict[str, Bench]:
    """A bench for every vessel of the plan, by vessel name, in plan order."""
    return {vessel.name: bench_of(plan, vessel) for vessel in plan.vessels}


def bench_of(plan: Plan, vessel: Vessel) -> Bench:
    """The bench of one vessel. Source of the factors: see the three culture modules."""
    strain = plan.strains[vessel.strain]
    salinity_psu = plan.water.salinity_psu
    return Bench(
        vessel=vessel,
        strain=strain,
        nutrient=plan.nutrients[vessel.nutrient],
        salinity_psu=salinity_psu,
        temperature_factor=cardinal_factor(
            vessel.temperature_c, strain.t_min_c, strain.t_opt_c, strain.t_max_c
        ),
        photoperiod_factor=photoperiod_factor(vessel.photoperiod_h),
        salinity_factor=salinity_factor(
            salinity_psu,
            strain.salinity_min_psu,
            strain.salinity_opt_low_psu,
            strain.salinity_opt_high_psu,
            strain.salinity_max_psu,
        ),
        salt_g_per_l=salt_g(1.0, salinity_psu, vessel.temperature_c, plan.water.salt_hydration),
    )
