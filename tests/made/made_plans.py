"""Plans of every shape: few and many vessels, odd fills, starters none, many, old and late, work days, away windows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import strategies as st

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.rota.plan import Away, CyclePlan, Nutrient, Plan, Starter, Tank, Vessel, Water, Work

START = date(2027, 2, 1)
NAMES = ("north", "south", "east", "west", "upper", "lower")


def example_plan(**changes: object) -> Plan:
    """The plan of the reference, with two vessels alike instead of one; every day is a work day."""
    plan = Plan(
        name="shelf",
        start=START,
        days=31,
        strains={"tetraselmis": strains()["tetraselmis"]},
        water=Water(salinity_psu=26.0),
        nutrients={"f2": Nutrient("f2", media()["f/2"], dose_ml_per_l=0.20, bottle_ml=250.0)},
        starters=(Starter("bought", "tetraselmis", 500.0, 2e6, START - timedelta(days=2)),),
        vessels=tuple(example_vessel(name) for name in ("north", "south")),
    )
    return replace(plan, **changes)  # type: ignore[arg-type]


def example_vessel(name: str = "north", **changes: object) -> Vessel:
    """A five-litre jar filled to four, at 22 degC and 14 h of light."""
    vessel = Vessel(name, "tetraselmis", "f2", 5.0, 4.0, 22.0, 14.0)
    return replace(vessel, **changes)  # type: ignore[arg-type]


@st.composite
def vessels(draw: st.DrawFn, name: str, in_use: list[str], room_c: float) -> Vessel:
    fill_l = draw(st.sampled_from((0.25, 0.9, 1.0, 2.0, 3.8, 4.0, 7.3, 18.5)) | st.floats(0.01, 40.0))
    return Vessel(
        name=name,
        strain=draw(st.sampled_from(in_use)),
        nutrient=draw(st.sampled_from(("f2", "bare"))),
        brim_l=fill_l * draw(st.sampled_from((1.0, 1.04, 1.25))),
        fill_l=fill_l,
        temperature_c=room_c + draw(st.sampled_from((0.0, 0.0, 0.0, -3.0, 2.5))),
        photoperiod_h=draw(st.sampled_from((8.0, 12.0, 14.0, 16.0, 24.0))),
        role=draw(st.sampled_from(("production", "production", "production", "standby"))),
    )


@st.composite
def starters(draw: st.DrawFn, number: int, in_use: list[str]) -> Starter:
    strain = strains()[draw(st.sampled_from(in_use))]
    return Starter(
        name=f"bottle{number}",
        strain=strain.name,
        volume_ml=draw(st.sampled_from((20.0, 250.0, 500.0, 1000.0, 9000.0)) | st.floats(1.0, 3e4)),
        density_per_ml=strain.ceiling_per_ml * draw(st.sampled_from((0.01, 0.5, 1.0, 2.0, 4.0))),
        on_hand=START + timedelta(days=draw(st.sampled_from((-400, -50, -12, -2, 0, 3, 20, 90)))),
        keep_back=draw(st.sampled_from((0.0, 0.25, 0.5, 0.9))),
    )


CYCLES = st.builds(
    CyclePlan,
    inoculum=st.none() | st.sampled_from((0.05, 0.2, 0.35, 0.6, 0.95)),
    days=st.none() | st.integers(2, 30),
    feed_day=st.none() | st.integers(1, 8),
    feed_dose=st.sampled_from((0.5, 1.0, 2.0)),
    renew_after=st.none() | st.integers(1, 6),
    backup_ml=st.none() | st.sampled_from((50.0, 2000.0)),
)
WORKS = st.builds(
    Work,
    weekdays=st.just(frozenset(range(7))) | st.frozensets(st.integers(0, 6), min_size=1),
    jobs_per_day=st.none() | st.integers(1, 4),
)


@st.composite
def away_windows(draw: st.DrawFn) -> Away:
    first = START + timedelta(days=draw(st.integers(-3, 50)))
    return Away(first, first + timedelta(days=draw(st.integers(0, 16))))


@st.composite
def plans(draw: st.DrawFn, most_days: int = 62, most_vessels: int = 6) -> Plan:
    """Any plan; ranges are those that the plan file takes, most of them close to a home shelf."""
    in_use = draw(st.lists(st.sampled_from(sorted(strains())), min_size=1, max_size=3, unique=True))
    room_c = draw(st.sampled_from((22.0, 20.0, 24.5, 15.0, 30.0)) | st.floats(3.0, 37.5))
    count = draw(st.integers(1, most_vessels))
    tank = draw(st.none() | st.builds(Tank, st.just(300.0), st.sampled_from((20.0, 120.0, 900.0))))
    return Plan(
        name="made",
        start=START,
        days=draw(st.sampled_from((1, 14, 31, most_days)) | st.integers(1, most_days)),
        strains={name: strains()[name] for name in in_use},
        water=Water(draw(st.sampled_from((26.0, 35.0, 20.0)) | st.floats(0.5, 42.0))),
        nutrients={
            "f2": Nutrient("f2", media()["f/2"], 0.20),
            "bare": Nutrient("bare", media()["f/2-Si"], 1.0, other_part="f2"),
        },
        starters=tuple(draw(starters(n, in_use)) for n in range(draw(st.integers(0, 4)))),
        vessels=tuple(draw(vessels(name, in_use, room_c)) for name in NAMES[:count]),
        cycle=draw(st.just(CyclePlan()) | CYCLES),
        tank=tank,
        work=draw(st.just(Work()) | WORKS),
        away=tuple(draw(st.lists(away_windows(), max_size=3))),
    )


@st.composite
def lively_plans(draw: st.DrawFn, most_days: int = 40, most_vessels: int = 4) -> Plan:
    """Plans on which something grows: a fair room, a fresh starter of every strain."""
    in_use = draw(
        st.lists(
            st.sampled_from(("tetraselmis", "isochrysis", "chaetoceros")), min_size=1, max_size=2, unique=True
        )
    )
    count = draw(st.integers(len(in_use), most_vessels))
    return Plan(
        name="lively",
        start=START,
        days=draw(st.integers(12, most_days)),
        strains={name: strains()[name] for name in in_use},
        water=Water(26.0),
        nutrients={"f2": Nutrient("f2", media()["f/2"], 0.20)},
        starters=tuple(
            Starter(
                name,
                name,
                draw(st.sampled_from((300.0, 500.0, 2000.0))),
                2.0 * strains()[name].ceiling_per_ml,
                START - timedelta(days=draw(st.integers(0, 6))),
                draw(st.sampled_from((0.0, 0.25, 0.5))),
            )
            for name in in_use
        ),
        vessels=tuple(
            Vessel(
                NAMES[n],
                in_use[n % len(in_use)],
                "f2",
                5.0,
                draw(st.sampled_from((1.5, 3.8, 4.0))),
                22.0,
                draw(st.sampled_from((12.0, 16.0))),
            )
            for n in range(count)
        ),
        cycle=draw(st.just(CyclePlan()) | CYCLES),
        work=draw(st.just(Work()) | WORKS),
        away=tuple(draw(st.lists(away_windows(), max_size=1))),
    )
