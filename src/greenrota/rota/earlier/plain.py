"""Plain: records as plain JSON and back, worked out from their fields, so that a new field needs nothing here."""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

Reader = Callable[[Any], Any]
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
    return _reader(kind)(given)


@cache
def _reader(kind: Any) -> Reader:
    """What reads values of a type; a type is looked at once, for a file holds many values of few types."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return _one_of(inner)
    if isinstance(kind, type) and _field_names(kind) is not None:
        return _record(kind)
    if origin in (dict, Mapping):
        return _mapping(_reader(inner[0]), _reader(inner[1]))
    if origin in (tuple, frozenset):
        return _several(origin, inner)
    if kind is date:
        return _day
    return _float if kind is float else _exactly(kind)


def _record(kind: type) -> Reader:
    hints = get_type_hints(kind)
    readers = {name: _reader(hints[name]) for name in _field_names(kind) or ()}

    def read(given: Any) -> Any:
        _must(isinstance(given, dict) and given.keys() == readers.keys())
        return kind(**{name: reader(given[name]) for name, reader in readers.items()})

    return read


def _mapping(key: Reader, value: Reader) -> Reader:
    def read(given: Any) -> Any:
        _must(isinstance(given, dict))
        return {key(name): value(each) for name, each in given.items()}

    return read


def _several(origin: Any, inner: tuple[Any, ...]) -> Reader:
    """A tuple or a set; a tuple of fixed length has a type for each place."""
    readers = [_reader(kind) for kind in inner if kind is not Ellipsis]

    def read(given: Any) -> Any:
        _must(isinstance(given, list))
        if origin is frozenset or inner[-1] is Ellipsis:
            return origin(readers[0](each) for each in given)
        _must(len(given) == len(readers))
        return tuple(reader(each) for reader, each in zip(readers, given, strict=True))

    return read


def _one_of(kinds: tuple[Any, ...]) -> Reader:
    readers = [_reader(kind) for kind in kinds if kind is not type(None)]

    def read(given: Any) -> Any:
        if given is None:
            _must(type(None) in kinds)
            return None
        for reader in readers:
            try:
                return reader(given)
            except ValueError:
                continue
        raise ValueError("no such value")

    return read


def _day(given: Any) -> date:
    _must(isinstance(given, str))
    return date.fromisoformat(given)


def _float(given: Any) -> float:
    _must(isinstance(given, (int, float)) and not isinstance(given, bool))
    return float(given)


def _exactly(kind: Any) -> Reader:
    def read(given: Any) -> Any:
        _must(type(given) is kind)
        return given

    return read


def _field_names(kind: type) -> tuple[str, ...] | None:
    """The fields of a kind of record, a dataclass or a named tuple; None for any other type."""
    if is_dataclass(kind):
        return tuple(each.name for each in fields(kind))
    return getattr(kind, "_fields", None) if issubclass(kind, tuple) else None


def _must(holds: bool) -> None:
    if not holds:
        raise ValueError("not of the form that is wanted")
