"""The table of plausible values: for each quantity what is usual and what is possible, with the source of every bound.

An unusual value is a warning, an impossible one is refused. The plan, the logbook and the bench arithmetic use
this one table. Bounds that depend on a strain or a medium are made of it in `bounds_for.py`.
"""

from __future__ import annotations

import math

from greenrota.culture.bench.sanitation import BLEACH_MAX_PERCENT
from greenrota.culture.bounds.bounds import Bounds
from greenrota.culture.water.saltmix import HYDRATION_MAX

DOSE = Bounds(
    "unusual-dose",
    "dose",
    "mL/L",
    least=0.001,  # our choice: less is not measured at home
    usual_low=0.05,  # our choice: a quarter of the usual bottle
    usual_high=5.0,  # Guillard 1975: five stocks for f/2, 4.5 mL/L together
    most=100.0,  # our choice: a tenth of the water
)
LABEL_DOSES = Bounds(
    "unusual-feed",
    "feed",
    "label doses",
    least=0.01,  # our choice: less is not measured at home
    usual_low=0.05,  # our choice
    usual_high=2.0,  # full f is twice f/2, Guillard 1975 (from memory)
    most=10.0,  # our choice: the tenfold slip itself
    typical=1.0,  # definition
    of="the label dose",
)
DENSITY = Bounds(
    "unusual-density",
    "density",
    "cells/mL",
    least=1.0,  # our choice: one cell in a millilitre
    usual_low=1e3,  # our choice: a first dilution of the thinnest start
    usual_high=1e8,  # our choice: above 6.5e7, Nannochloropsis in Wahidin et al. 2013
    most=1e10,  # our choice: a tenth of what the smallest cell allows when packed
)
RATE = Bounds(
    "unusual-rate",
    "rate",
    "/day",
    least=0.001,  # our choice: doubles in two years
    usual_low=0.1,  # 0.094 for T. tetrahele at 5 degC, Bernhardt et al. 2018 data
    usual_high=2.5,  # 2.4 for D. tertiolecta, Reay et al. 1999
    most=5.0,  # our choice: above 3.46, T. pseudonana, Davidson & Gurney 1999
)
VESSEL_L = Bounds(
    "unusual-vessel",
    "fill",
    "L",
    least=0.01,  # our choice: a test tube
    usual_low=0.1,  # our choice: a 250 mL starter flask (FAO 471) not quite half full
    usual_high=25.0,  # our choice: above 20 L, where the larger systems of FAO 361 begin
    most=1e4,  # our choice: ten cubic metres
)
FILL_SHARE = Bounds(
    "unusual-fill",
    "fill",
    "of the brim",
    least=0.0,  # arithmetic
    usual_low=0.25,  # our choice: a jar that is only a quarter full
    usual_high=1.0,  # our choice: a fill that leaves no headspace has a warning of its own
    most=1.0,  # arithmetic
)
BUCKET_L = VESSEL_L._replace(code="unusual-bucket", what="bucket", usual_low=2.0, usual_high=200.0)
MIXED_ML = BUCKET_L._replace(code="unusual-volume", what="volume", usual_low=0.05).times(
    1e3, "mL"
)  # our choice
TANK_L = Bounds(
    "unusual-tank",
    "tank",
    "L",
    least=0.1,  # our choice
    usual_low=10.0,  # our choice: the smallest reef tanks
    usual_high=2000.0,  # our choice: two cubic metres in a home
    most=1e6,  # our choice
)
CONSUMER_L = Bounds(
    "unusual-tank",
    "water of a consumer",
    "L",
    least=0.1,  # our choice
    usual_low=0.2,  # our choice: a beaker of copepods
    usual_high=500.0,  # our choice
    most=1e6,  # our choice
)
TANK_RATION_SHARE = Bounds(
    "unusual-ration",
    "ration",
    "of the tank a day",
    least=0.0,  # arithmetic
    usual_low=1e-5,  # our choice: 3 mL a day for 300 L
    usual_high=5e-3,  # our choice: 1.5 L a day for 300 L
    most=math.inf,  # our choice: none, `RATION_ML` holds
)
CONSUMER_RATION_SHARE = TANK_RATION_SHARE._replace(
    unit="of its water a day",
    usual_low=1e-4,  # our choice: 1 mL a day for 10 L
    usual_high=0.5,  # our choice: half of its water
)
RATION_ML = Bounds(
    "unusual-ration",
    "ration",
    "mL/day",
    least=0.01,  # our choice
    usual_low=1.0,  # our choice
    usual_high=5000.0,  # our choice: what a dozen jars of 4 L give a day
    most=1e6,  # our choice
)
RATION_CELLS = Bounds(
    "unusual-ration",
    "ration",
    "cells/mL/day",
    least=1.0,  # our choice
    usual_low=100.0,  # our choice
    usual_high=5e5,  # our choice: a rotifer culture; copepods get about a tenth (common practice, no source)
    most=1e8,  # our choice: as dense as the densest culture
)
KEEPS_DAYS = Bounds(
    "unusual-keeps",
    "shelf life",
    "days",
    least=1.0,  # definition: it is fed from the next day on
    usual_low=2.0,  # our choice
    usual_high=56.0,  # Heasman et al. 2000: 8 weeks for Tetraselmis concentrates, the longest of our strains
    most=90.0,  # our choice: 3 months, when half of the activity is gone (see fridge_days in data/strains.toml)
)
BOTTLE_ML = Bounds(
    "unusual-bottle",
    "bottle",
    "mL",
    least=0.1,  # our choice
    usual_low=5.0,  # our choice: nearly empty
    usual_high=4000.0,  # our choice: a gallon jug
    most=1e6,  # our choice
)
AIR_VVM = Bounds(
    "unusual-air",
    "air",
    "L/min for each L",
    least=0.0,  # our choice: no air at all is possible and has a warning of its own
    usual_low=0.05,  # our choice: half of 0.1 vvm, small vessels (from memory)
    usual_high=1.0,  # our choice: twice 0.5 vvm, small vessels (from memory)
    most=math.inf,  # our choice: none, what is possible is given in L/min below
    typical=0.2,  # Gabrielyan 2022: 0.2 vvm in a 5 L reactor, of a freshwater alga
    of="the usual flow",
)
AIR_MOST_L_PER_MIN = 100.0  # our choice: far above any home air pump
HYDRATION = Bounds(
    "unusual-salt",
    "salt hydration",
    "",
    least=0.0,  # definition
    usual_low=0.0,  # definition
    usual_high=0.15,  # 14.9 % of the Kester et al. 1967 recipe weighed as hydrates, computed
    most=HYDRATION_MAX,  # our choice, see there
)
PHOTOPERIOD_H = Bounds(
    "unusual-photoperiod",
    "light",
    "h a day",
    least=0.5,  # our choice
    usual_low=6.0,  # our choice: half of a winter photoperiod; FAO 361 asks for 16 (a warning of its own)
    usual_high=24.0,  # FAO 361 Table 2.2, maximum 24:0
    most=24.0,  # definition
)
CYCLE_DAYS = Bounds(
    "unusual-cycle",
    "cycle",
    "days",
    least=2.0,  # our choice
    usual_low=2.0,  # FAO 471 s. 3.3 (copy): cut and topped up after 2 or 3 days
    usual_high=28.0,  # our choice: twice 14 days, the slowest starter of FAO 471 s. 3.2.2 (copy)
    most=90.0,  # our choice
)
RENEWALS = Bounds(
    "unusual-cycle",
    "renewal",
    "re-seeds",
    least=1.0,  # definition
    usual_low=1.0,  # definition
    usual_high=40.0,  # FAO 471 s. 3.3 (copy): T. suecica for 3 months, 3 times a week, is 39
    most=100.0,  # our choice
)
NITRATE_UMOL_L = Bounds(
    "unusual-medium",
    "nitrate",
    "umol/L",
    least=0.0,  # definition: a medium may bring phosphate alone
    usual_low=80.0,  # our choice: half of f/10, CCAP (copy)
    usual_high=4000.0,  # our choice: above 3530, four times f/2, CCAP f/2 Quad (copy)
    most=1e6,  # our choice
)
PHOSPHATE_UMOL_L = NITRATE_UMOL_L._replace(
    what="phosphate",
    usual_low=1.0,  # our choice: a third of f/10
    usual_high=300.0,  # our choice: twice 145, four times f/2, CCAP f/2 Quad (copy)
)
SILICATE_UMOL_L = NITRATE_UMOL_L._replace(
    what="silicate",
    usual_low=10.0,  # our choice: half of f/10
    usual_high=1000.0,  # our choice: twice the 504 of K medium (copy)
)
CHANCE = Bounds(
    "unusual-chance",
    "chance",
    "/day",
    least=0.0,  # definition
    usual_low=0.0,  # definition
    usual_high=0.1,  # our choice: once in ten days
    most=1.0,  # definition
)
INOCULUM_SHARE = Bounds(
    "unusual-volume",
    "inoculum",
    "of the brim",
    least=0.0,  # arithmetic
    usual_low=0.01,  # our choice: a tenth of 8-20 %, FAO 471 s. 3.2.2 (copy)
    usual_high=1.0,  # arithmetic
    most=1.0,  # arithmetic
)
VOLUME_SHARE = Bounds(
    "unusual-volume",
    "volume",
    "of the brim",
    least=0.0,  # arithmetic
    usual_low=0.002,  # our choice: 10 mL of 5 L
    usual_high=1.0,  # arithmetic
    most=1.0,  # arithmetic
)
CHLORINE_MG_PER_L = Bounds(
    "unusual-bleach",
    "chlorine",
    "mg/L",
    least=0.0,  # definition
    usual_low=0.5,  # our choice: half of 1 mg/L, water in FAO 361 s. 2.3.4 (copy)
    usual_high=1000.0,  # CDC CS316270A with 5.25 % bleach: surfaces; vessels 200-500
    most=1e6,  # our choice; what the bleach itself holds is checked where it is poured
)
HYPOCHLORITE_PERCENT = Bounds(
    "unusual-bleach",
    "bleach",
    "%",
    least=0.0,  # definition
    usual_low=2.0,  # our choice: under the weakest household bleach, 2.5 (from memory)
    usual_high=12.5,  # pool bleach, from memory; household 5-9, a public page that quotes the CDC
    most=BLEACH_MAX_PERCENT,  # our choice, see there
)
