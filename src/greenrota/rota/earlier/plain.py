"""Plain: records as plain JSON and back, worked out from their fields, so that a new field needs nothing here."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

Json = dict[str, Any] | list[Any] | str | int | float | bool | None


def to_plain(value: object) -> Json:
    """A value as JSON has it: records and mappings as objects, tuples and sets as lists, days in ISO 8601.

    TypeError for what has no such form.

    >>> to_plain({"north/1": date(2027, 2, 8)})
    {'north/1': '2027-02-08'}
    """
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if (names := _field_names(type(value))) is not None:
        return {name: to_plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {_key(key): to_plain(each) for key, each in value.items()}
    if isinstance(value, frozenset):
        return sorted((to_plain(each) for each in value), key=repr)
    if isinstance(value, (tuple, list)):
        return [to_plain(each) for each in value]
    raise TypeError(f"{type(value).__name__} has no plain form")


def _key(key: object) -> str:
    if isinstance(key, str):
        return key
    if isinstance(key, date):
        return key.isoformat()
    raise TypeError(f"{type(key).__name__} can not be the key of a JSON object")


def from_plain(kind: Any, given: Any) -> Any:
    """The value of a type from its plain form; undoes `to_plain`.

    ValueError for anything that is not exactly of that form: another type, a field too many or too few.

    >>> from_plain(Mapping[str, date], {"north/1": "2027-02-08"})
    {'north/1': datetime.date(2027, 2, 8)}
    """
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return _one_of(inner, given)
    if isinstance(kind, type) and _field_names(kind) is not None:
        hints = _hints(kind)
        _must(isinstance(given, dict) and given.keys() == hints.keys())
        return kind(**{name: from_plain(hint, given[name]) for name, hint in hints.items()})
    if origin in (dict, Mapping):
        _must(isinstance(given, dict))
        return {from_plain(inner[0], key): from_plain(inner[1], each) for key, each in given.items()}
    if origin in (tuple, frozenset):
        return _several(origin, inner, given)
    if kind is date:
        _must(isinstance(given, str))
        return date.fromisoformat(given)
    if kind is float:
        _must(isinstance(given, (int, float)) and not isinstance(given, bool))
        return float(given)
    _must(type(given) is kind)
    return given


def _several(origin: Any, inner: tuple[Any, ...], given: Any) -> Any:
    """A tuple or a set; a tuple of fixed length has a type for each place."""
    _must(isinstance(given, list))
    each: list[Any] = given
    if origin is frozenset or inner[-1] is Ellipsis:
        return origin(from_plain(inner[0], one) for one in each)
    _must(len(each) == len(inner))
    return tuple(from_plain(kind, one) for kind, one in zip(inner, each, strict=True))


def _one_of(kinds: tuple[Any, ...], given: Any) -> Any:
    if given is None:
        _must(type(None) in kinds)
        return None
    for kind in kinds:
        if kind is not type(None):
            try:
                return from_plain(kind, given)
            except ValueError:
                continue
    raise ValueError("no such value")


@cache
def _hints(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {name: hints[name] for name in _field_names(kind) or ()}


def _field_names(kind: type) -> tuple[str, ...] | None:
    """The fields of a kind of record, a dataclass or a named tuple; None for any other type."""
    if is_dataclass(kind):
        return tuple(each.name for each in fields(kind))
    return getattr(kind, "_fields", None) if issubclass(kind, tuple) else None


def _must(holds: bool) -> None:
    if not holds:
        raise ValueError("not of the form that is wanted")
