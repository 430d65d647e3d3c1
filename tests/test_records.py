"""Our records against the frozen dataclass of the standard library with the same fields: they act alike."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field
from typing import Any

import pytest

from greenrota import records


@records.record(frozen=True, slots=True)
class Jar:
    """A record with every kind of field that we use."""

    name: str
    fill_l: float = 4.0
    marks: tuple[str, ...] = ()
    notes: list[str] = field(default_factory=list)
    written: str = field(default="", compare=False)
    about: dict[str, int] = field(default_factory=dict, hash=False)
    place: str = field(default="", repr=False)


@records.record(frozen=True, slots=True)
class Spoken:
    """A record with methods of its own in the place of those that are made."""

    name: str

    def __repr__(self) -> str:
        return f"<{self.name}>"

    def __hash__(self) -> int:
        return 7


def standard(kind: type[Any]) -> type[Any]:
    """The same fields as the standard decorator takes them."""
    fields: list[Any] = []
    for each in dataclasses.fields(kind):
        about = field(
            default=each.default,
            default_factory=each.default_factory,
            repr=each.repr,
            hash=each.hash,
            compare=each.compare,
        )
        fields.append((each.name, each.type, about))
    return dataclasses.make_dataclass(kind.__name__, fields, frozen=True, slots=True)


OTHER = standard(Jar)
GIVEN: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    (("north",), {}),
    (("north", 2.5, ("a",), ["b"]), {}),
    (("south",), {"about": {"a": 1}, "written": "w", "place": "p"}),
    ((), {"name": "north", "marks": ("x", "y")}),
]
WRONG: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((), {}),
    (("a", 1.0, (), [], "", {}, "", "one too many"), {}),
    (("a",), {"name": "twice"}),
    (("a",), {"no_such": 1}),
]


@pytest.mark.parametrize(("given", "named"), GIVEN)
def test_made_shown_and_compared_as_ever(given: tuple[Any, ...], named: dict[str, Any]) -> None:
    ours, theirs = Jar(*given, **named), OTHER(*given, **named)
    assert repr(ours) == repr(theirs)
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert ours == Jar(*given, **named)
    assert (ours == theirs) is False
    for change in ({"fill_l": 9.0}, {"written": "else"}, {"about": {"z": 1}}, {"place": "there"}):
        assert (dataclasses.replace(ours, **change) == ours) == (
            dataclasses.replace(theirs, **change) == theirs
        )


def test_equal_records_have_one_hash_and_what_takes_no_part_takes_none() -> None:
    one = Jar("north", notes=())  # type: ignore[arg-type]
    assert hash(one) == hash(dataclasses.replace(one, about={"a": 1}, written="else"))
    assert hash(one) == hash(OTHER("north", notes=()))
    assert hash(one) != hash(dataclasses.replace(one, fill_l=3.0))
    assert {one, dataclasses.replace(one)} == {one}


@pytest.mark.parametrize(("given", "named"), WRONG)
def test_wrong_arguments_are_refused(given: tuple[Any, ...], named: dict[str, Any]) -> None:
    with pytest.raises(TypeError):
        Jar(*given, **named)
    with pytest.raises(TypeError):
        OTHER(*given, **named)


def test_a_default_that_is_made_is_made_anew() -> None:
    assert Jar("a").notes is not Jar("a").notes


def test_it_is_frozen_and_has_slots() -> None:
    jar = Jar("north")
    with pytest.raises(FrozenInstanceError):
        jar.name = "south"  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del jar.name
    assert not hasattr(jar, "__dict__")
    assert Jar.__slots__ == OTHER.__slots__  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "again", [copy.copy, copy.deepcopy, lambda jar: pickle.loads(pickle.dumps(jar)), dataclasses.replace]
)
def test_copied_and_pickled(again: Callable[[Jar], Jar]) -> None:
    jar = Jar("north", 2.0, notes=["n"], written="w", place="p")
    assert again(jar) == jar
    assert again(jar).written == "w"


def test_it_says_what_it_takes() -> None:
    assert str(inspect.signature(Jar).replace(parameters=[])) == "()"
    assert list(inspect.signature(Jar).parameters) == list(inspect.signature(OTHER).parameters)
    assert inspect.signature(Jar).parameters["fill_l"].default == 4.0


def test_it_matches_by_place() -> None:
    match Jar("north", 2.0):
        case Jar(name, fill_l):
            assert (name, fill_l) == ("north", 2.0)


def test_methods_of_its_own_stay() -> None:
    assert (repr(Spoken("a")), hash(Spoken("a"))) == ("<a>", 7)
    assert Spoken("a") == Spoken("a")


def test_what_is_no_such_record_is_refused() -> None:
    with pytest.raises(TypeError, match="frozen"):
        records.record(frozen=False, slots=True)
    with pytest.raises(TypeError, match="by its place"):
        records.record(frozen=True, slots=True)(
            type("A", (), {"__annotations__": {"a": "int"}, "a": field(init=False)})
        )
    with pytest.raises(TypeError, match="__post_init__"):
        records.record(frozen=True, slots=True)(type("A", (), {"__post_init__": lambda self: None}))
