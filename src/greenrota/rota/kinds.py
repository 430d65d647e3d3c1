"""The kinds of tasks and of simulated events, and one record for each kind: all that pages and rules ask of it.

A kind that is named in `TaskKind` and has no record, or is left out of a branch over kinds, fails `mypy --strict`.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple, assert_never, get_args

from greenrota.logbook.vocabulary import LogKind

# What the simulation does to a batch, and what people do: a prepare goes before all that pours seawater.
EventKind = Literal["start", "topup", "feed", "harvest", "reseed", "renew", "bank"]
TaskKind = Literal["prepare", EventKind]
Amount = Literal["inoculum", "seawater", "salt", "nutrient", "harvest", "keep", "bank"]
# What an entry of a task done as planned can say.
EntrySource = Literal[Amount, "parent", "light", "fill"]
# What sets the day of a task: the day chosen for a start, a top-up or a harvest, the end of a batch with its harvest, a
# rule of its own, or the tasks for which salt water is mixed.
DaySetBy = Literal["start", "topup", "harvest", "end", "rule", "mixing"]
# Its part in the seasons that `risk` plays; "none" where it changes nothing that is counted there.
SeasonPart = Literal["filling", "dose", "harvest", "emptying", "none"]

# Keys of `culture.sanitation.CAUTIONS` for all that cleans a vessel.
CLEANING = ("bleach", "bleach_kind", "bleach_rinse", "chlorine_test", "hot_water", "glass")
# Where a plan grows several strains: what opens a culture or carries one from place to place.
STRAIN_TOOLS = "strain_tools"


class TaskRecord(NamedTuple):
    """All that differs from one kind of task to the next, besides what it does to a culture.

    - `day_order` places it in a day at the bench: what gives comes before what receives.
    - `cautions` are keys of `culture.sanitation.CAUTIONS`; `carries`: it opens a culture or carries one from place to
      place, so each strain has its own tools.
    - `fills`: it begins a batch. `needed`: a batch cannot do without it, so a skip puts it off.
    - `amounts` are those it pours or takes, in the order in which they are said; `work` says what is done where it has
      none.
    - `day` is what sets its day, `season` its part in the seasons.
    - `entry` is the kind of entry that tells it was done, `entry_values` what that entry says, by key.
    - `verb` says what to do; `done` what happened to the batch, behind "is"; `month` is its word in the month ("" where
      another task of the day stands for it), with `month_amount` behind it.
    - `leads` places it among the tasks of one visit: the lowest gives the appointment its identity. Our choice.
    - `sign` is its letter on a chart, "" for none. Our choice.
    """

    day_order: int
    leads: int
    cautions: tuple[str, ...]
    entry: LogKind
    entry_values: Mapping[str, EntrySource]
    verb: str
    done: str
    day: DaySetBy
    season: SeasonPart
    month: str
    amounts: tuple[Amount, ...] = ()
    month_amount: Amount | None = None
    carries: bool = False
    fills: bool = False
    needed: bool = False
    work: str = ""
    sign: str = ""


# Each caution stands at the tasks in which it is needed: a harvest lifts a full jar out of its place, stops its air
# and puts bottles into the fridge.
_PREPARE = TaskRecord(
    day_order=0,
    cautions=("mains", "evaporation"),
    amounts=("seawater", "salt"),
    entry="prepared",
    entry_values={"volume": "seawater"},
    verb="prepare",
    done="made ready",
    day="mixing",
    season="none",
    month="prepare",
    leads=7,
)
_START = TaskRecord(
    day_order=1,
    cautions=("mains", "air_line", "nutrient"),
    carries=True,
    fills=True,
    needed=True,
    amounts=("inoculum", "seawater", "salt", "nutrient"),
    entry="started",
    entry_values={"from": "parent", "inoculum": "inoculum", "volume": "fill"},
    verb="start",
    done="started",
    day="start",
    season="filling",
    month="start",
    month_amount="inoculum",
    leads=2,
    sign="S",
)
_TOPUP = TaskRecord(
    day_order=2,
    cautions=("mains", "air_line", "nutrient"),
    needed=True,
    amounts=("seawater", "salt", "nutrient"),
    entry="topped-up",
    entry_values={"seawater": "seawater", "nutrient": "nutrient"},
    verb="top up",
    done="topped up",
    day="topup",
    season="none",
    month="top up",
    month_amount="seawater",
    leads=3,
    sign="T",
)
_FEED = TaskRecord(
    day_order=3,
    cautions=("nutrient",),
    amounts=("nutrient",),
    entry="fed",
    entry_values={"nutrient": "nutrient"},
    verb="second dose",
    done="given its second dose",
    day="rule",
    season="dose",
    month="dose",
    month_amount="nutrient",
    leads=5,
    sign="F",
)
_BANK = TaskRecord(
    day_order=4,
    cautions=("mains", "food_fridge"),
    carries=True,
    amounts=("bank",),
    entry="banked",
    entry_values={"volume": "bank"},
    verb="bank",
    done="banked",
    day="harvest",
    season="none",
    month="bank",
    leads=6,
)
_HARVEST = TaskRecord(
    day_order=5,
    cautions=("mains", "air_line", "glass", "food_fridge"),
    needed=True,
    amounts=("harvest", "keep"),
    entry="harvested",
    entry_values={"volume": "harvest"},
    verb="harvest",
    done="harvested",
    day="harvest",
    season="none",
    month="harvest",
    month_amount="harvest",
    leads=0,
    sign="H",
)
_RESEED = TaskRecord(
    day_order=6,
    cautions=("mains", "air_line", "nutrient"),
    carries=True,
    fills=True,
    needed=True,
    amounts=("inoculum", "seawater", "salt", "nutrient", "keep"),
    entry="reseeded",
    entry_values={"inoculum": "inoculum", "light": "light"},
    verb="re-seed",
    done="re-seeded",
    day="harvest",
    season="harvest",
    month="",  # it belongs to its harvest
    leads=1,
)
_RENEW = TaskRecord(
    day_order=7,
    cautions=(*CLEANING, "mains"),
    needed=True,
    entry="discarded",
    entry_values={},
    verb="renew",
    done="renewed",
    work="empty the vessel and clean it",
    day="end",
    season="emptying",
    month="renew",
    leads=4,
    sign="N",
)


def _record(kind: TaskKind) -> TaskRecord:
    match kind:
        case "prepare":
            return _PREPARE
        case "start":
            return _START
        case "topup":
            return _TOPUP
        case "feed":
            return _FEED
        case "harvest":
            return _HARVEST
        case "reseed":
            return _RESEED
        case "renew":
            return _RENEW
        case "bank":
            return _BANK
        case _:
            assert_never(kind)


# The record of every kind, in the order in which pages list the kinds.
TASK_KINDS: Mapping[TaskKind, TaskRecord] = MappingProxyType(
    {kind: _record(kind) for kind in get_args(TaskKind)}
)
FILLING: frozenset[TaskKind] = frozenset(kind for kind, record in TASK_KINDS.items() if record.fills)
# What goes into a vessel with new seawater, which is mixed before: a prepare goes before each.
MIXED_FOR: frozenset[TaskKind] = frozenset(
    kind for kind, record in TASK_KINDS.items() if "salt" in record.amounts and kind != "prepare"
)
