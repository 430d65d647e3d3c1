"""What mutants are made from: small plans, logbooks and command lines that hold every key, kind and command once."""

from __future__ import annotations

import shlex

PLAN = """# a jar or two
[rota]
name = "shelf"
start = 2027-02-01
days = 12
strain = "tetraselmis"

[room]
temperature = "22 degC"

[water]
salinity = "1.020 SG"
hydrometer = "25C/25C"
salt_hydration = 0.10
bucket = "10 L"

[[nutrient]]
name = "f2"
medium = "mild"
dose = "0.20 mL/L"
bottle = "250 mL"
opened = 2027-01-20
other_part = "b"
size = "500 mL"
price = 24.90

[[nutrient]]
name = "b"
medium = "f/2"
dose = "0.20 mL/L"

[[starter]]
name = "bought"
volume = "500 mL"
density = "2e6 cells/mL"
on_hand = 2027-01-30
keep_back = 0.25
price = 9.0

[[vessel]]
name = "north"
volume = "5 L"
fill = "4 L"
photoperiod = "14 h"
nutrient = "f2"
temperature = "72 degF"
light = "4000 lux"
air = "1 L/min"
lights_on = "07:30"

[[vessel]]
name = "south"
volume = "1.3 gal"
fill = "1 gal"
photoperiod = "16 h"
nutrient = "f2"
role = "standby"

[cycle]
inoculum = 0.20
days = 5
feed_day = 3
feed_dose = 1.0
renew_after = 6
backup = "800 mL"

[tank]
volume = "300 L"
ration = "120 mL/day"
keeps = "14 days"
strains = { tetraselmis = 1.0 }
priority = 1
ramp = true
nitrate_limit = "5 mg/L"
phosphate_limit = "0.1 mg/L"

[[consumer]]
name = "copepods"
ration = "1e4 cells/mL/day"
volume = "10 L"
strains = ["tetraselmis"]

[prices]
currency = "EUR"
salt_per_kg = 6.5
bleach_per_l = 1.2

[work]
days = ["Mon", "Wed", "Fri", "Sat", "Sun"]
jobs_per_day = 4

[[away]]
from = 2027-02-09
to = 2027-02-10

[strain.tetraselmis]
rate = "0.55 /day"
ceiling = "1.3e6 cells/mL"

[medium.mild]
nitrate = "440 umol/L"
phosphate = "18 umol/L"
silicate = "1 mg/L"

[risk]
crash = "0.01 /day"
power_cut_loss = 0.5
hidden = "3 days"

[output]
units = "us"
hour = "18:00"
"""

LOG = """2027-02-01 started north from=starter:bought inoculum=187.5mL nutrient=0.8mL n=1
2027-02-02 started south from=starter:bought inoculum=187.5mL volume=3L density=9e4/mL n=2 # by hand
2027-02-03 fed north nutrient=0.8mL n=3
2027-02-04 counted north density=9.1e5/mL cells=91 squares=5 dilution=2 n=4
2027-02-05 harvested north volume=3.2L density=8e5/mL n=5
2027-02-05 reseeded north inoculum=800mL light=12 n=6
2027-02-05 banked north volume=250mL n=7
2027-02-06 crashed south cause=contamination since=2027-02-04 n=8
2027-02-06 discarded fridge:north/2 reason="turned brown" n=9
2027-02-06 skipped north task=north/2/feed n=10
2027-02-07 note - text="smells of \\"hay\\" \\u4e2d" n=11
2027-02-07 void - entry=10 reason="wrong vessel" n=12
2027-02-07 cleared north n=13
2027-02-07 condemned starter:bought n=14
2027-02-07 prepared south n=15
2027-02-08 counted north cells=61 squares=4 n=16
2027-02-08 note north colour=brown smell=hay foam=some clumping=none ph=8.4 sg=1.02 temperature=24degC n=17
2027-02-09 started south from=north/2 inoculum=100mL volume=1L n=18
2027-02-10 topped-up south seawater=2L nutrient=0.4mL n=19
"""

# PLAN stands for the plan's path, FOLDER for the folder it lies in.
_TYPED = """
check PLAN
check PLAN --json
tasks PLAN
tasks PLAN --from 2027-02-02 --days 3 --vessel north --json
tasks PLAN --csv
tasks PLAN --why north/2/harvest
tasks PLAN --score --json
tasks PLAN --markdown
tasks FOLDER/plan.toml --svg FOLDER/tasks.svg
today PLAN --on 2027-02-05
today PLAN --json
card PLAN --nutrient f2
card PLAN --json
month PLAN --from 2027-02-02
month PLAN --html FOLDER/month.html --size letter
cautions
card PLAN --vessel north --html FOLDER/card.html
growth north PLAN --svg FOLDER/growth.svg
growth north PLAN --json
bottles PLAN --json
bottles PLAN
log done --plan PLAN --on 2027-02-08
log fed north PLAN --dose 0.5 --on 2027-02-08 --json
log counted north PLAN --cells 91 --squares 5 --dilution 2 --on 2027-02-08
log crashed north PLAN --cause over-age --since 2027-02-07 --on 2027-02-08
log started south PLAN --from starter:bought --inoculum '0.2 L' --yes
log topped-up south PLAN --seawater '0.5 L' --on 2027-02-08 --yes
log note PLAN --text 'all well'
log void PLAN --entry 3 --reason slip
log list north PLAN --kind fed --last 3
log list PLAN --json
log undo PLAN --reason slip --on 2027-02-08
log archive PLAN --through 2027-02-02 --on 2027-02-08 --yes
month PLAN --next --on 2027-02-08
log skipped PLAN --task north/1/harvest --on 2027-02-08 --yes
log note north PLAN --colour brown --smell hay --foam some --clumping none --on 2027-02-08
log note north PLAN --ph 8.4 --sg '1.020 SG' --temperature '75 degF' --on 2027-02-08
changes PLAN --json
lineage PLAN --from north --since 2027-02-03
calibrate north PLAN
supplies PLAN
away PLAN
away PLAN --json
size PLAN --confidence 0.9
risk PLAN --seasons 20 --seed 7 --json
calendar FOLDER/shelf.ics PLAN
sheet FOLDER/sheet.html PLAN --from 2027-02-02 --days 3
sheet - PLAN
labels FOLDER/labels.html PLAN --label 62x38
reckon salt '4 L' '26 psu'
reckon salinity '1.020 SG'
reckon dose '4 L' '0.20 mL/L'
reckon count 100
reckon bleach '4 L' '200 mg/L' --percent 5.25
new FOLDER/fresh.toml
"""
COMMANDS: tuple[tuple[str, ...], ...] = tuple(tuple(shlex.split(line)) for line in _TYPED.strip().split("\n"))
