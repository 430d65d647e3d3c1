"""The decorator of our records, quick to load: in all else as `dataclasses.dataclass(frozen=True, slots=True)`.

The standard one writes and compiles six methods for every class when its module is imported. Of two hundred classes
that was a quarter of the time of a short command, and most of the methods are never called in it. Here those that a
class needs of its own are written when they are first called, and the others are shared by all.
`dataclasses.fields`, `replace`, `asdict` and `is_dataclass` take these records as any other.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, fields
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as record  # what a type checker needs to know
    from dataclasses import replace
else:

    def replace(made: Any, /, **changes: Any) -> Any:
        """As `dataclasses.replace` for a record, in a fifth of the time: for what is done a hundred thousand times."""
        return made._changed(**changes)

    def record(*, frozen: bool, slots: bool) -> Callable[[type], type]:
        """Makes a record of a class; both must be asked for, so that the line says what the records are.

        Raises TypeError for a field that is keyword-only or left out of `__init__`, and for a `__post_init__`.
        """
        if not (frozen and slots):
            raise TypeError("a record is frozen and has slots; take dataclasses.dataclass for another one")
        return _record


__all__ = ["record", "replace"]

_LATER = ("__init__", "__eq__", "__hash__", "_changed")  # written when they are first called
_NOT_GIVEN = object()  # stands for an argument that was left out and whose default is made anew each time


def _record(plain: type) -> type:
    own = set(plain.__dict__)
    if "__post_init__" in own:
        raise TypeError(f"{plain.__qualname__}: a record has no __post_init__")
    made: type[Any] = dataclass(init=False, repr=False, eq=False, slots=True)(plain)
    if any(each.kw_only or not each.init for each in fields(made)):
        raise TypeError(f"{plain.__qualname__}: a record takes every field by its place")
    for name in _LATER:
        if name not in own:
            setattr(made, name, _writing(made, name))
    made.__signature__ = _Signature()
    for shared in (__repr__, __setattr__, __delattr__, __getstate__, __setstate__):
        if shared.__name__ not in own:
            setattr(made, shared.__name__, shared)
    return made


class _Signature:
    """What a record is made of, for those who ask: help, notebooks, generators of test cases."""

    def __get__(self, instance: object, made: type) -> Any:
        from inspect import signature

        whole = signature(_write(made, "__init__"))
        return whole.replace(parameters=list(whole.parameters.values())[1:])


def _writing(made: type, name: str) -> Callable[..., Any]:
    """Stands in the place of a method: writes it, puts it there, and goes on as if it had been there."""

    def first(self: object, *given: Any, **named: Any) -> Any:
        method = _write(made, name)
        setattr(made, name, method)
        return method(self, *given, **named)

    return first


def _write(made: type, name: str) -> Callable[..., Any]:
    """A method of a class, compiled from its fields."""
    about: Sequence[Field[Any]] = fields(made)
    known: dict[str, Any] = {"_not_given": _NOT_GIVEN}
    if name == "__init__":
        lines = _init_lines(made, about, known)
    elif name == "__eq__":
        names = [each.name for each in about if each.compare]
        ours, theirs = (_tuple(f"{who}.{each}" for each in names) for who in ("self", "other"))
        lines = [
            "def __eq__(self, other):",
            " if other.__class__ is not self.__class__: return NotImplemented",
            f" return {ours} == {theirs}",
        ]
    elif name == "_changed":
        names = [each.name for each in about]
        values = ", ".join(f"self.{each} if {each} is _not_given else {each}" for each in names)
        lines = [
            f"def _changed(self, *, {', '.join(f'{each}=_not_given' for each in names)}):",
            f" return self.__class__({values})",
        ]
    else:
        names = [each.name for each in about if (each.compare if each.hash is None else each.hash)]
        lines = ["def __hash__(self):", f" return hash({_tuple(f'self.{each}' for each in names)})"]
    exec("\n".join(lines), known)
    method: Callable[..., Any] = known[name]
    method.__qualname__ = f"{made.__qualname__}.{name}"
    if name == "__init__":
        method.__annotations__ = {each.name: each.type for each in about}
    return method


def _init_lines(made: type, about: Sequence[Field[Any]], known: dict[str, Any]) -> list[str]:
    """The lines of `__init__`; what they use besides goes into `known`."""
    taken, body = ["self"], [" pass"]
    for each in about:
        name, value = each.name, each.name
        known[f"_set_{name}"] = made.__dict__[name].__set__ if name in made.__dict__ else _setting(name)
        if each.default is not MISSING:
            known[f"_default_{name}"] = each.default
            taken.append(f"{name}=_default_{name}")
        elif each.default_factory is not MISSING:
            known[f"_make_{name}"] = each.default_factory
            taken.append(f"{name}=_not_given")
            value = f"_make_{name}() if {name} is _not_given else {name}"
        else:
            taken.append(name)
        body.append(f" _set_{name}(self, {value})")
    return [f"def __init__({', '.join(taken)}):", *body]


def _setting(name: str) -> Callable[[object, object], None]:
    """Sets a field that a class inherits."""
    return lambda self, value: object.__setattr__(self, name, value)


def _tuple(parts: Any) -> str:
    return "(" + "".join(f"{each}," for each in parts) + ")"


def __repr__(self: Any) -> str:
    shown = ", ".join(f"{each.name}={getattr(self, each.name)!r}" for each in fields(self) if each.repr)
    return f"{type(self).__qualname__}({shown})"


def __setattr__(self: object, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def __delattr__(self: object, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def __getstate__(self: Any) -> list[Any]:
    return [getattr(self, each.name) for each in fields(self)]


def __setstate__(self: Any, state: list[Any]) -> None:
    for each, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, each.name, value)
