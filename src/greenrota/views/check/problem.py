"""A problem as text: place, what is there, what is wanted; and on its own line what to do."""

from __future__ import annotations

from greenrota.errors import Place, Problem
from greenrota.views.text.lettering import hanging, printable

_LONGEST = 160  # our choice: characters of a line that are shown; of a longer line, the part around the fault


def render_problem(problem: Problem, width: int | None = None) -> str:
    """One problem as lines of text, without a newline at the end.

    The first line holds place, what and code; then the offending line, if known, and the words of it that are
    meant, said once more: that is read aloud as well, and stays right where a screen breaks the line; then the
    hint. Characters that could steer a terminal are written out. `width` wraps what is said to a screen, the
    offending line stays whole; None wraps nothing. Raises nothing.

    >>> place = Place("plan.toml")
    >>> print(render_problem(Problem("no-plan", place, "no such file", hint="try greenrota new")))
    plan.toml: no such file [no-plan]
    hint: try greenrota new
    """
    place = printable(str(problem.where))
    said = f"{place + ': ' if place else ''}{printable(problem.what)} [{problem.code}]"
    lines = hanging("", said, width, 2)
    if problem.where.text:
        lines += _excerpt(problem.where, printable(problem.wanted))
    elif problem.wanted:
        lines += hanging("wanted: ", printable(problem.wanted), width, 2)
    if problem.hint:
        lines += hanging("hint: ", printable(problem.hint), width, 2)
    return "\n".join(lines)


def _excerpt(where: Place, wanted: str) -> list[str]:
    text = where.text.rstrip("\r\n")
    word = f"line {where.line}" if where.line else "line"
    lines = [f"  {word}  {_shown(_window(text, where.column)).strip()}"]
    there = ": ".join(part for part in (_meant(text, where), wanted) if part)
    if there:
        lines.append(f"  {'there':<{len(word)}}  {there}")
    return lines


def _meant(text: str, where: Place) -> str:
    """The part of the line that is wrong; "" if it is not known or is the whole line."""
    if not where.column:
        return ""
    first = where.column - 1
    if first >= len(text):
        return "at the end of the line"
    meant = text[first : first + max(1, where.width)].strip()
    return (
        "" if meant == text.strip() else _shown(meant if len(meant) <= _LONGEST else meant[:_LONGEST] + "...")
    )


def _window(text: str, column: int) -> str:
    """At most `_LONGEST` characters of the line, including those from `column` on."""
    if len(text) <= _LONGEST:
        return text
    first = max(0, min(column - 1 - _LONGEST // 2, len(text) - _LONGEST))
    head = "..." if first else ""
    tail = "..." if first + _LONGEST < len(text) else ""
    return head + text[first : first + _LONGEST] + tail


def _shown(text: str) -> str:
    return printable(text.replace("\t", " "))
