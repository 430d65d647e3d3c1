"""The score of a rota term by term, and why a task stands on its day; for people and for programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from greenrota.rota.rota import Rota
from greenrota.rota.search.score import TERMS
from greenrota.rota.search.search import GAP_MIDDLE, GAP_MOST, SearchResult
from greenrota.views.text.amount import volume
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure
from greenrota.views.text.lettering import display_width, hanging, printable
from greenrota.views.text.table import Column, render_table

if TYPE_CHECKING:
    from greenrota.rota.answers.weighed import Possible, PossibleAmounts
    from greenrota.rota.answers.why import Impossible, Why

CUT_SHORT = "search cut short: the best dates found until then"
_LEAST_ROOM = 24  # our choice: with fewer columns beside a day its terms begin a line of their own
_LEAST_SHOWN = 0.005  # our choice: of a term; less does not show at two decimals
_LEAST = 0.05  # our choice: of the score; less does not show at one decimal


def score_page(rota: Rota, width: int | None = None) -> str:
    """Every term of the score with amount, weight and product, then whether all dates were tried."""
    amounts = rota.found.score.amounts
    rows = [
        (
            term.meaning,
            f"{amounts[name]:.2f}".removesuffix(".00"),
            f"{term.weight:g}",
            f"{term.weight * amounts[name]:.1f}",
        )
        for name, term in TERMS.items()
    ]
    rows.append(("all together", "", "", f"{rota.found.score.total:.1f}"))
    title = f"{rota.plan.name}: score of the dates as of {day_text(rota.as_of)}, lower is better"
    blocks = [
        hanging("", printable(title), width, 2),
        _table(rows, width),
        hanging("", _sureness(rota.found), width, 2),
    ]
    return "\n\n".join("\n".join(lines) for lines in blocks)


def _table(rows: Sequence[tuple[str, str, str, str]], width: int | None) -> list[str]:
    """The terms as a table, or one on each line if the screen is too narrow."""
    columns = [Column("term"), *(Column(title, number=True) for title in ("amount", "weight", "counts"))]
    lines = render_table(columns, rows).splitlines()
    if width is None or all(display_width(line) <= width for line in lines):
        return lines
    texts = (
        f"{name}: {amount} x {weight} = {counts}" if weight else f"{name}: {counts}"
        for name, amount, weight, counts in rows
    )
    return [line for text in texts for line in hanging("", text, width, 2)]


def _sureness(found: SearchResult) -> str:
    if found.cut_short:
        return CUT_SHORT
    if found.exact:
        return "exact: every possible choice of dates was tried"
    return (
        "searched: there are too many choices to try them all. On shelves of 4 to 8 vessels a search fifty times as "
        f"long scored {GAP_MIDDLE:.1%} better in the middle, {GAP_MOST:.1%} at most"
    )


def score_object(found: SearchResult) -> dict[str, object]:
    """The score as it stands in JSON: amounts by term, their weighted sum, and how sure it is."""
    terms: dict[str, object] = {name: figure(found.score.amounts[name]) for name in TERMS}
    return {**terms, "total": figure(found.score.total), "exact": found.exact, "cut_short": found.cut_short}


def why_page(why: Why, units: str, width: int | None = None) -> str:
    """Why a task is on its day: the rule, the cost of every other possible day, and why the rest were not possible."""
    task = why.task
    follows = f" (see {why.sees})" if why.sees else ""
    lines = hanging("", printable(f"{task.kind} {task.batch} on {day_text(task.on)}"), width, 2)
    lines += hanging("  ", printable(f"because: {why.rule}{follows}"), width)
    if why.held:
        lines += hanging(
            "  ", "it stood there on the rota before and is kept as long as it is possible", width
        )
    if why.possible:
        title = "Possible days, and how far each would raise the score of the whole rota"
        lines += ["", *hanging("", title, width, 2)]
        lines += [line for day in why.possible for line in _possible(day, width)]
        lines += ["", *hanging("", _verdict(why), width, 2)]
    if len(why.amounts) > 1:
        lines += _amounts(why, units, width)
    if why.impossible:
        lines += ["", "Days that were not possible"]
        lines += [line for out in why.impossible for line in _impossible(out, width)]
    return "\n".join(lines)


def _amounts(why: Why, units: str, width: int | None) -> list[str]:
    """Other amounts with what each would change: the cheapest first, the one taken at the top."""
    task = why.task
    title = (
        f"Ways to share out {task.parent}" if task.kind == "start" else f"What could stay in {task.vessel}"
    )
    lines = ["", *hanging("", printable(f"{title}, and how far each would raise the score"), width, 2)]
    for way in sorted(why.amounts, key=lambda way: (not way.taken, way.change)):
        poured = [(name, volume(ml, units)) for name, ml in way.ml.items()]
        text = ", ".join(f"{name} {ml}" for name, ml in poured) if task.kind == "start" else poured[0][1]
        changed = "taken" if way.taken else "; ".join(_terms(way)) or "as good"
        lines += hanging("  ", printable(f"{text}  {way.change:+.1f}  {changed}"), width, 4)
    return lines


def _possible(day: Possible, width: int | None) -> list[str]:
    text = "taken" if day.taken else "; ".join(_terms(day)) or "as good"
    lead = f"  {day_text(day.on)}  {day.change:+8.1f}  "
    if width is not None and width - len(lead) < _LEAST_ROOM:
        return hanging("  ", f"{lead.strip()}  {text}", width, 4)
    return hanging(lead, text, width)


def _terms(day: Possible | PossibleAmounts) -> Iterator[str]:
    for name, by in day.terms.items():
        if abs(by) >= _LEAST_SHOWN:
            yield (
                f"{by:+.2f}".removesuffix(".00") + f" {TERMS[name].meaning} ({TERMS[name].weight * by:+.1f})"
            )


def _verdict(why: Why) -> str:
    others = [day.change for day in why.possible if not day.taken]
    if not others:
        return "No other day was possible."
    least = min(others)
    if least < -_LEAST and why.held:
        return "Another day would be better by now; the standing date goes before."
    if least < -_LEAST:
        return f"The search did not find a rota that is better by {-least:.1f}: it does not try everything."
    if least <= _LEAST:
        return "Another day is as good."
    return f"The next best day is worse by {least:.1f}."


def _impossible(out: Impossible, width: int | None) -> list[str]:
    days = day_text(out.first) if out.first == out.last else f"{day_text(out.first)} to {day_text(out.last)}"
    return hanging("  ", printable(f"{days}: {out.because}"), width, 4)


def why_object(why: Why) -> dict[str, object]:
    """Why a task stands where it stands, as it stands in JSON; `score_change` is of the whole rota."""
    return {
        "id": why.task.id,
        "date": why.task.on.isoformat(),
        "rule": why.rule,
        "follows": why.sees or None,
        "held": why.held,
        "possible": [
            {
                "date": day.on.isoformat(),
                "taken": day.taken,
                "score_change": figure(day.change),
                "terms": {name: figure(by) for name, by in day.terms.items()},
            }
            for day in why.possible
        ],
        "amounts": [
            {
                "ml": {name: figure(ml) for name, ml in way.ml.items()},
                "taken": way.taken,
                "score_change": figure(way.change),
                "terms": {name: figure(by) for name, by in way.terms.items()},
            }
            for way in why.amounts
        ],
        "impossible": [
            {"from": out.first.isoformat(), "to": out.last.isoformat(), "reason": out.because}
            for out in why.impossible
        ],
    }
