"""Turn the errors that pydantic collected into problems with place, code and hint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails, PydanticCustomError

from greenrota.errors import Problem
from greenrota.planfile.tables.schema import PlanTable
from greenrota.planfile.text.position import Path, Positions
from greenrota.planfile.text.refusal import called
from greenrota.planfile.text.spelling import nearest, shown


def problems(
    errors: Iterable[ErrorDetails],
    clashes: Iterable[tuple[Path, PydanticCustomError]],
    document: Mapping[str, Any],
    positions: Positions,
) -> list[Problem]:
    """All problems of one file, in the order of its lines.

    `errors` come from pydantic, `clashes` from checks that look at several tables; `document` is the parsed TOML and
    `positions` the place of each key in its text.
    """
    listed = list(errors)
    meant = {_meant(_path(error)) for error in listed if error["type"] == "extra_forbidden"}
    found = [
        _problem(error, document, positions)
        for error in listed
        if error["type"] != "missing" or _path(error) not in meant  # one problem for a misspelt key, not two
    ]
    found += [
        _from_context(path, str(clash.type), clash.context or {}, document, positions)
        for path, clash in clashes
    ]
    return sorted(found, key=lambda problem: (problem.where.line, problem.where.column))


def _path(error: ErrorDetails) -> Path:
    return tuple(part for part in error["loc"] if part != "[key]")


def _meant(path: Path) -> Path:
    """The path with the known key that is spelled most like the last part; that part is "" if none is alike."""
    return (*path[:-1], nearest(str(path[-1]), _keys_at(path[:-1])))


def _problem(error: ErrorDetails, document: Mapping[str, Any], positions: Positions) -> Problem:
    path = _path(error)
    kind = error["type"]
    context = error.get("ctx", {})
    if "what" in context:
        return _from_context(path, kind, context, document, positions)
    subject = _subject(path[:-1], document)
    key = str(path[-1]) if path else ""
    if kind == "extra_forbidden":
        return _unknown_key(path, subject, positions)
    if kind in ("missing", "too_short"):
        if len(path) == 1:
            table = f"[[{key}]]" if _is_list(key) else f"[{key}]"
            return Problem("missing-key", positions.of_key(path), f"{table} is missing", _example(key))
        where = positions.of_key(path)
        return Problem("missing-key", where, f"{subject}{key} is missing", _missing_hint(path))
    wanted, hint = _shape(path, kind)
    what = f"{_subject(path, document)}{called(error['input'])} stands where {wanted} is wanted"
    return Problem("wrong-type", positions.of_value(path), what, hint, f"{wanted} is wanted")


def _from_context(
    path: Path, code: str, context: Mapping[str, Any], document: Mapping[str, Any], positions: Positions
) -> Problem:
    where = positions.of_key(path) if code == "bad-name" and path[-1] != "name" else positions.of_value(path)
    subject = path[:-1] if context["what"].startswith(f"{path[-1]} ") else path
    what = f"{_subject(subject, document)}{context['what']}"
    return Problem(code, where, what, context["hint"], context["wanted"])


def _unknown_key(path: Path, subject: str, positions: Positions) -> Problem:
    key, known = str(path[-1]), _keys_at(path[:-1])
    near = _meant(path)[-1]
    hint = f'did you mean "{near}"?' if near else "known here: " + ", ".join(known)
    what = (
        f"{subject}{called(key)} is no key of this table"
        if subject
        else f"{called(key)} is no part of a plan"
    )
    return Problem("unknown-key", positions.of_key(path), what, hint, "a known key is wanted")


def _missing_hint(path: Path) -> str:
    model = _model_at(path[:-1])
    for name, field in model.model_fields.items() if model else ():
        if path[-1] in (name, field.alias):
            return f"{path[-1]} - {field.description}"
    return ""


def _example(key: str) -> str:
    model = _model_at((key,))
    if model is None:
        return ""
    needed = [field.alias or name for name, field in model.model_fields.items() if field.is_required()]
    return f"add {'[[' if _is_list(key) else '['}{key}{']]' if _is_list(key) else ']'} with " + ", ".join(
        needed
    )


def _shape(path: Path, kind: str) -> tuple[str, str]:
    """What is wanted where a table or a list of another shape was found, and a hint how it is written."""
    key = shown(str(path[0]))
    if kind == "list_type" and len(path) == 1:
        return "a list of tables", f"write double brackets: [[{key}]]"
    if kind == "list_type":
        return "a list", 'write a list of days, for example ["Wed", "Sat"]'
    if len(path) == 1 and key in ("strain", "medium"):
        return "a table of tables", f"write [{key}.NAME]"
    return "a table", f"write [[{key}]]" if _is_list(key) else f"write [{key}] and its keys below, one a line"


def _subject(path: Path, document: Mapping[str, Any]) -> str:
    """What a message is about, with a colon: `vessel "north": fill: `, `[rota] days: `, or nothing."""
    if not path:
        return ""
    table: Any = document.get(str(path[0]))
    head, rest = f"[{path[0]}]", path[1:]
    if rest and isinstance(rest[0], int):
        one = table[rest[0]] if isinstance(table, list) and rest[0] < len(table) else None
        name = one.get("name") if isinstance(one, dict) else None
        head = f"{path[0]} {called(name)}" if isinstance(name, str) else f"{path[0]} {rest[0] + 1}"
        rest = rest[1:]
    elif rest and path[0] in ("strain", "medium"):
        head, rest = f"{path[0]} {called(str(rest[0]))}", rest[1:]
    words = [shown(str(part)) for part in rest if not isinstance(part, int)]
    if head.startswith("[") and words:
        return f"{head} {': '.join(words)}: "
    return ": ".join([head, *words]) + ": "


def _is_list(key: str) -> bool:
    field = PlanTable.model_fields.get(key)
    return field is not None and getattr(field.annotation, "__origin__", None) is list


def _model_at(path: Path) -> type[BaseModel] | None:
    """The model of the table at a path; None where there is none."""
    if not path:
        return PlanTable
    field = PlanTable.model_fields.get(str(path[0]))
    return _model_in(field.annotation) if field else None


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and not get_args(annotation) and issubclass(annotation, BaseModel):
        return annotation
    return next((model for part in get_args(annotation) if (model := _model_in(part))), None)


def _keys_at(path: Path) -> list[str]:
    model = _model_at(path)
    return [field.alias or name for name, field in model.model_fields.items()] if model else []
