"""Places of keys: every shape that TOML has, and a law over generated documents."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from greenrota.errors import Place
from greenrota.planfile.text.position import Path, Positions

SHAPES = '''# remark with [table] and key = 1
[rota]  # [not]
name  = "shelf # not a remark"
start = 2027-02-01 07:00:00
"od d" . 'k' = [ 1, "a]", # remark ]
  [2, 3], {x = 1, y.z = "b"}]
m = """a
[vessel]
b""\\" """"
lit = \'\'\'
[[vessel]]\'\'\'
[[vessel]]
name="n"
[vessel.sub]
q=1
\t[ [vessel] ]
name = "s"
in = {a.b = 3}
[strain."two words"]
rate = "x"
'''


def marked(place: Place) -> str:
    return place.text[place.column - 1 :][: place.width]


def value(text: str, *path: str | int) -> tuple[int, str]:
    place = Positions(text, "f").of_value(path)
    return place.line, marked(place)


def key(text: str, *path: str | int) -> tuple[int, str]:
    place = Positions(text, "f").of_key(path)
    return place.line, marked(place)


def test_values_of_every_shape() -> None:
    text = SHAPES.replace("[ [vessel] ]", "[[vessel]]")
    tomllib.loads(text)
    assert value(text, "rota", "name") == (3, '"shelf # not a remark"')
    assert value(text, "rota", "start") == (4, "2027-02-01 07:00:00")
    assert value(text, "rota", "od d", "k", 1) == (5, '"a]"')
    assert value(text, "rota", "od d", "k", 2, 1) == (6, "3")
    assert value(text, "rota", "od d", "k", 3, "y", "z") == (6, '"b"')
    assert value(text, "rota", "m") == (7, '"""a')
    assert value(text, "rota", "lit") == (10, "'''")
    assert value(text, "vessel", 0, "name") == (13, '"n"')
    assert value(text, "vessel", 0, "sub", "q") == (15, "1")
    assert value(text, "vessel", 1, "name") == (17, '"s"')
    assert value(text, "vessel", 1, "in", "a", "b") == (18, "3")
    assert value(text, "strain", "two words", "rate") == (20, '"x"')


def test_keys_and_headers() -> None:
    text = SHAPES.replace("[ [vessel] ]", "[[vessel]]")
    assert key(text, "rota") == (2, "[rota]")
    assert key(text, "rota", "name") == (3, "name")
    assert key(text, "rota", "od d", "k") == (5, "\"od d\" . 'k'")
    assert key(text, "vessel") == (12, "[[vessel]]")
    assert key(text, "vessel", 1) == (16, "[[vessel]]")
    assert key(text, "strain", "two words") == (19, '[strain."two words"]')


def test_a_missing_key_is_shown_at_the_table_around_it() -> None:
    assert key("[a]\n[[b]]\nx=1\n", "b", 0, "y") == (2, "[[b]]")
    assert Positions("[a]\n", "f").of_key(("c", "d")) == Place("f")


def test_line_and_column_count_from_one() -> None:
    place = Positions("\n\tfill = 4\n", "plan.toml").of_value(("fill",))
    assert place == Place("plan.toml", 2, "\tfill = 4", 9, 1)


NAMES = st.text(st.sampled_from('abzAZ09_- ."#[]=é\\\n\t'), min_size=1, max_size=6)
SCALARS = st.one_of(
    st.integers(-99, 99), st.booleans(), st.text(st.sampled_from("ab \"'#]}[{=,\n\\"), max_size=8)
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(NAMES, inner, max_size=3)),
    max_leaves=6,
)


def written(text: str) -> str:
    told = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
    return '"' + "".join(told.get(c, c) for c in text) + '"'


def toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return written(value)
    if isinstance(value, list):
        return "[" + ", ".join(toml(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(name)} = {toml(item)}" for name, item in value.items()) + "}"
    return str(value)


def leaves(value: Any, path: Path) -> list[tuple[Path, Any]]:
    if isinstance(value, dict) and value:
        return [leaf for name, item in value.items() for leaf in leaves(item, (*path, name))]
    if isinstance(value, list) and value:
        return [leaf for number, item in enumerate(value) for leaf in leaves(item, (*path, number))]
    return [(path, value)]


@given(
    st.dictionaries(NAMES, st.dictionaries(NAMES, VALUES, max_size=3), max_size=3),
    st.lists(st.dictionaries(NAMES, VALUES, max_size=3), max_size=3),
)
def test_the_marked_characters_are_the_value(
    tables: dict[str, dict[str, Any]], listed: list[dict[str, Any]]
) -> None:
    lines: list[str] = []
    for name, table in tables.items():
        lines += [
            f"[ {written('t' + name)} ] # remark",
            *(f"  {written(k)}\t= {toml(v)} # x" for k, v in table.items()),
        ]
    for table in listed:
        lines += ["", "[[item]]", *(f"{written(k)}={toml(v)}" for k, v in table.items())]
    text = "\n".join(lines)
    document = tomllib.loads(text)
    positions = Positions(text, "f")
    for path, leaf in leaves(document, ()):
        if path and len(path) <= 8 and not (isinstance(leaf, dict | list) and len(path) < 3):
            place = positions.of_value(path)
            assert tomllib.loads(f"v = {marked(place)}")["v"] == leaf
