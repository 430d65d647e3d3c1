"""A problem as text: place, what is there, what is wanted; and on its own line what to do."""

from __future__ import annotations

from greenrota.errors import Place, Problem
from greenrota.views.lettering import display_width, printable

_GUTTER = 7  # our choice: columns for the line number
_LONGEST = 160  # our choice: characters of a line that are shown; a longer one is shown around the mark


def render_problem(problem: Problem) -> str:
    """One problem as lines of text, without a newline at the end.

    The first line holds place, what and code; then the offending line with a mark, if known; then the hint.
    Characters that could steer a terminal are written out. Raises nothing.

    >>> place = Place("plan.toml")
    >>> print(render_problem(Problem("no-plan", place, "no such file", hint="try greenrota new")))
    plan.toml: no such file [no-plan]
    hint: try greenrota new
    """
    place = printable(str(problem.where))
    lines = [f"{place + ': ' if place else ''}{printable(problem.what)} [{problem.code}]"]
    if problem.where.text:
        lines += _excerpt(problem.where, printable(problem.wanted))
    elif problem.wanted:
        lines.append(f"wanted: {printable(problem.wanted)}")
    if problem.hint:
        lines.append(f"hint: {printable(problem.hint)}")
    return "\n".join(lines)


def _excerpt(where: Place, wanted: str) -> list[str]:
    text, column = _window(where.text.rstrip("\r\n"), where.column)
    number = str(where.line) if where.line else ""
    lines = [f"{number:>{_GUTTER}} | {_shown(text)}"]
    if column:
        lead = " " * display_width(_shown(text[: column - 1]))
        marked = text[column - 1 : column - 1 + max(1, where.width)]
        carets = "^" * max(1, display_width(_shown(marked)))
        lines.append(f"{'':>{_GUTTER}} | {lead}{carets} {wanted}".rstrip())
    elif wanted:
        lines.append(f"{'':>{_GUTTER}} | {wanted}")
    return lines


def _window(text: str, column: int) -> tuple[str, int]:
    """At most `_LONGEST` characters of the line, so chosen that the marked column is among them."""
    if len(text) <= _LONGEST:
        return text, column
    first = max(0, min(column - 1 - _LONGEST // 2, len(text) - _LONGEST))
    head = "..." if first else ""
    tail = "..." if first + _LONGEST < len(text) else ""
    return head + text[first : first + _LONGEST] + tail, column - first + len(head) if column else 0


def _shown(text: str) -> str:
    return printable(text.replace("\t", " "))
