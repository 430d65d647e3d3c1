"""The tables of a plan file as the reference shows them: every key, read from the schema that checks it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.culture.water.seawater import Hydrometer
from greenrota.planfile.fields.days import Clock, Day
from greenrota.planfile.fields.diet import CELLS, VOLUME, Ration, Strains
from greenrota.planfile.fields.figure import Amount, Bare, Comparison, Figure, Switch
from greenrota.planfile.fields.naming import UNSAID, Choice, Name, Reference
from greenrota.planfile.tables.schema import PlanTable
from greenrota.planfile.text.spelling import KINDS
from greenrota.risk.hazard import danger_for
from greenrota.rota.plan import Diet
from greenrota.rota.state.backups import MOST_BACKUP_ML
from greenrota.rota.state.cycle import RENEW_AFTER

_ALIKE = {"consumer": "tank"}  # a table, and the one whose keys it shares


def tables() -> dict[str, type[BaseModel]]:
    """The model of every table of a plan, by name."""
    return {name: _model(field.annotation) for name, field in PlanTable.model_fields.items()}


def key_table(name: str) -> str:
    """The keys of one table as a list."""
    fields = tables()[name].model_fields.items()
    rows = {field.alias or key: _row(name, field.alias or key, field) for key, field in fields}
    alike = _ALIKE.get(name)
    if alike is None:
        return "\n".join(rows.values())
    known = key_table(alike).splitlines()
    own = [row for row in rows.values() if row not in known]
    shared = [f"`{key}`" for key, row in rows.items() if row in known]
    return "\n".join([*own, f"- {', '.join(shared)}: as in [{alike}]."])


def _model(annotation: Any) -> type[BaseModel]:
    if isinstance(annotation, type) and not get_args(annotation) and issubclass(annotation, BaseModel):
        return annotation
    return next(_model(part) for part in get_args(annotation) if _holds_model(part))


def _holds_model(part: Any) -> bool:
    is_model = isinstance(part, type) and not get_args(part) and issubclass(part, BaseModel)
    return is_model or any(_holds_model(each) for each in get_args(part))


def _row(table: str, key: str, field: FieldInfo) -> str:
    found = figure_of(field)
    default = _default(table, key, field, found)
    parts = [
        "" if isinstance(found, Amount) and len(found.kinds) == 1 else takes(found),  # its unit says it
        span(found),
        "needed" if default == "needed" else "" if default == "-" else f"default {default}",
    ]
    return f"- `{key}`: {'; '.join(part for part in parts if part)}. {field.description}"


def figure_of(field: FieldInfo) -> Figure:
    """What reads the value of a key."""
    return next(_figures([*field.metadata, field.annotation]))


def _figures(parts: Any) -> Iterator[Figure]:
    for part in parts:
        if isinstance(part, Figure):
            yield part
        yield from _figures([*get_args(part), *getattr(part, "__metadata__", ())])


def takes(found: Figure) -> str:
    """What a key takes, in words."""
    if isinstance(found, Amount):
        return " or ".join(KINDS[kind].measures for kind in found.kinds)
    if isinstance(found, Bare):
        return f"{found.what}, whole" if found.whole else found.what
    if isinstance(found, Reference):
        return f"the name of a {found.to}"
    if isinstance(found, Choice):
        if "Mon" in found.words:
            return f"a list of {', '.join(found.words)}"
        return "one of " + ", ".join(f'"{word}"' for word in found.words)
    plain = {
        Switch: "true or false",
        Day: "a date",
        Clock: "a time of day",
        Comparison: "what it compares",
        Name: "a name",
        Ration: "a daily volume or a daily cell density",
        Strains: "a list of strains or a table of shares",
    }
    return plain[type(found)]


def span(found: Figure) -> str:
    """The values that are accepted; "" where there is no more to say."""
    if isinstance(found, Amount):
        unit = KINDS[found.kinds[0]].example.split(" ")[1]
        return f"{_plain(found.least)} to {_plain(found.most)} {unit}"
    if isinstance(found, Bare):
        low, high = _plain(found.least), _plain(found.most)
        return f"above {low}, below {high}" if found.open_ends else f"{low} to {high}"
    if isinstance(found, Ration):
        return f"{span(VOLUME)}, or {span(CELLS)}"
    if isinstance(found, Comparison):
        return "0 to 40 degC each"
    return ""


def _plain(number: float) -> str:
    return f"{number:g}" if number < 1e6 else f"{number:.0e}".replace("e+0", "e").replace("e+", "e")


def _default(table: str, key: str, field: FieldInfo, found: Figure) -> str:
    value = field.default
    if field.is_required():
        return "needed"
    if table == "risk":
        return _assumed(key)
    if table == "cycle" and value is None:
        ours = {"renew_after": f"`{RENEW_AFTER}`", "backup": f'`"{MOST_BACKUP_ML / ML_PER_L:g} L"`'}
        return ours.get(key, "the rota chooses")
    if value is None or value == UNSAID:
        return "-"
    if isinstance(value, Hydrometer):
        return f'`"{value.sample_c:g}C/{value.reference_c:g}C"`'
    if isinstance(value, Diet):
        return "any strain"
    if isinstance(found, Amount):
        return f'`"{value:g} {KINDS[found.kinds[0]].example.split(" ")[1]}"`'
    if isinstance(found, Clock):
        return f'`"{int(value):02d}:{round(value % 1 * 60):02d}"`'
    if isinstance(found, Choice):
        return f'`"{value}"`'
    return f"`{str(value).lower()}`"


def _assumed(key: str) -> str:
    """What `[risk]` assumes where a key is left out."""
    danger = danger_for(None)
    power, heat, air = danger.blows
    chances = {
        "crash": danger.crash,
        "over_ripe": danger.over_ripe,
        "contamination": danger.contamination,
        "power_cut": power.per_day,
        "heat_wave": heat.per_day,
        "forgotten_air": air.per_day,
    }
    shares = {
        "power_cut_loss": power.loss_share,
        "heat_wave_loss": heat.loss_share,
        "forgotten_air_loss": air.loss_share,
    }
    days = {"fouling": danger.fouling_days, "hidden": danger.hidden_days}
    if key in chances:
        chance = chances[key]
        exact = f'"{chance:g} /day"' if len(f"{chance:g}") < 7 else f"one in {round(1 / chance)} days"
        return f"`{exact}`" if exact.startswith('"') else exact
    return f"`{shares[key]:g}`" if key in shares else f'`"{days[key]:g} days"`'
