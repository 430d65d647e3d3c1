"""Two rotas side by side: a table for the screen, and JSON."""

from __future__ import annotations

from dataclasses import asdict

from greenrota.rota.answers.comparison import RotaFigures
from greenrota.views.text.document import figure, json_document
from greenrota.views.text.table import Column, render_table


def comparison_page(
    names: tuple[str, str], both: tuple[RotaFigures, RotaFigures], width: int | None = None
) -> str:
    """The figures of two rotas in two columns; `names` are those of their plans."""
    rows = [row for row in zip(_TITLES, *map(_texts, both), strict=True) if any(row[1:])]
    table = render_table(
        [Column("over the horizon"), *(Column(name, number=True) for name in names)], rows, width
    )
    days = [each.days for each in both]
    note = "" if days[0] == days[1] else f"\n\nThe horizons differ: {days[0]} and {days[1]} days."
    return table + note


_TITLES = (
    "vessels",
    "days",
    "days with feed to count",
    "days short of a ration",
    "L harvested",
    "L eaten",
    "L spoiled",
    "L left at the end",
    "working days",
    "visits to a vessel",
    "days a strain lives in one place",
    "cost of supplies",
    "score of the dates, lower is better",
)


def _texts(of: RotaFigures) -> tuple[str, ...]:
    return (
        str(of.vessels),
        str(of.days),
        str(of.feeding_days),
        str(of.short_days),
        *(f"{litres:.1f}" for litres in (of.made_l, of.eaten_l, of.spoiled_l, of.left_l)),
        str(of.working_days),
        str(of.visits),
        str(of.one_home_days),
        "" if of.cost is None else f"{of.cost:.2f} {of.currency}".rstrip(),
        f"{of.score:.0f}",
    )


def comparison_json(names: tuple[str, str], both: tuple[RotaFigures, RotaFigures]) -> str:
    """The figures of two rotas as JSON, in the order of the plans."""
    plans = [
        {
            "plan": name,
            **{
                key: figure(value) if isinstance(value, float) else value
                for key, value in asdict(each).items()
            },
        }
        for name, each in zip(names, both, strict=True)
    ]
    return json_document("greenrota/comparison/1", {"plans": plans})
