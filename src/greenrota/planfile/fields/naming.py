"""Names in a plan: how a name may be spelled, which names a file defines, and keys that refer to a name.

Names go into ids such as `north/1/start` and `starter:bought` and into the logbook, so they hold neither
slash, colon nor equals sign. They are kept in Unicode's composed form (NFC), so that two ways to type an
accent are one name.
"""

import unicodedata
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.planfile.fields.figure import Figure
from greenrota.planfile.text.refusal import called, refusal
from greenrota.planfile.text.spelling import nearest
from greenrota.rota.plan import TANK

if TYPE_CHECKING:
    from greenrota.planfile.text.position import Path

LONGEST_NAME = 40  # characters; our choice, so that tables keep to 80 columns
UNSAID = "\0"  # stands for a key that the plan leaves out; no TOML text can hold it
NAMED_TABLES = ("nutrient", "starter", "vessel", "consumer")


class Known(NamedTuple):
    """The names that a reference may use, collected from the whole file before it is checked.

    A default is None where the file gives none, or more than one.
    """

    strain: frozenset[str]
    medium: frozenset[str]
    nutrient: frozenset[str]
    default_strain: str | None
    default_nutrient: str | None


def composed(name: str) -> str:
    """The name in Unicode form NFC, as it is kept and compared."""
    return unicodedata.normalize("NFC", name)


def is_name(name: str) -> bool:
    """True for 1 to 40 letters, digits, spaces, hyphens and underscores that begin with a letter or a digit.

    >>> is_name("north 2"), is_name("a/b"), is_name("-")
    (True, False, False)
    """
    if not 1 <= len(name) <= LONGEST_NAME or not name[0].isalnum() or name != name.strip():
        return False
    return all(c in " -_" or unicodedata.category(c)[0] in "LMN" for c in name)


class Name(Figure):
    """The name of something in this plan."""

    def read(self, value: object, info: ValidationInfo) -> str:
        wanted = "a name is wanted"
        if not isinstance(value, str):
            hint = 'write the name in quotes, for example "north"'
            raise refusal("wrong-type", f"{called(value)} is not a name", hint, wanted)
        if not is_name(composed(value)):
            hint = (
                f"use 1 to {LONGEST_NAME} letters, digits, spaces, hyphens and underscores, "
                "with a letter or a digit first"
            )
            raise refusal("bad-name", f"{called(value)} cannot be a name", hint, wanted)
        return composed(value)

    def described(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME, "pattern": r"^[^/:=#\"\\]+$"}


class Reference(Figure):
    """A name of something given elsewhere: `to` is "strain", "medium" or "nutrient".

    With `fallback` a missing key takes the plan's default, if it has one.
    """

    def __init__(self, to: str, fallback: bool = False) -> None:
        self.to, self.fallback = to, fallback

    def read(self, value: object, info: ValidationInfo) -> str:
        known: Known = info.context  # type: ignore[assignment]
        names: frozenset[str] = getattr(known, self.to)
        if value == UNSAID and self.fallback:
            return self._default(known)
        if not isinstance(value, str):
            hint = f"write the name of the {self.to} in quotes"
            raise refusal(
                "wrong-type", f"{called(value)} is not a name", hint, f"the name of a {self.to} is wanted"
            )
        if composed(value) in names:
            return composed(value)
        near = nearest(value, sorted(names))
        some = "one of " + ", ".join(sorted(names)[:12]) if names else f"this plan has no [[{self.to}]]"
        hint = f'did you mean "{near}"?' if near else some
        raise refusal(
            f"unknown-{self.to}",
            f"no {self.to} is called {called(value)}",
            hint,
            f"the name of a {self.to} is wanted",
        )

    def _default(self, known: Known) -> str:
        default = known.default_strain if self.to == "strain" else known.default_nutrient
        if default is not None:
            return default
        if self.to == "nutrient":
            if not known.nutrient:  # [[nutrient]] is missing: one problem for that is enough
                return ""
            choice = ", ".join(f'"{name}"' for name in sorted(known.nutrient)[:6])
            hint = f"name the one it gets, for example one of {choice}"
            raise refusal("missing-key", "nutrient is missing, and the plan has more than one", hint)
        hint = 'write strain = "tetraselmis" here, or once under [rota] for all'
        raise refusal("missing-key", "strain is missing, and [rota] names none", hint)

    def described(self) -> dict[str, Any]:
        return {"type": "string"}


class Choice(Figure):
    """One of a few words."""

    def __init__(self, words: tuple[str, ...]) -> None:
        self.words = words

    def read(self, value: object, info: ValidationInfo) -> str:
        if isinstance(value, str) and value in self.words:
            return value
        word = value if isinstance(value, str) else ""
        near = word[:3].title() if word[:3].title() in self.words else nearest(word, self.words)
        every = ", ".join(f'"{word}"' for word in self.words)
        hint = f'did you mean "{near}"?' if near else f"write one of {every}"
        wanted = (
            f"one of {every} is wanted"
            if len(self.words) < 4
            else f'a word such as "{self.words[0]}" is wanted'
        )
        raise refusal("bad-choice", f"{called(value)} is not known here", hint, wanted)

    def described(self) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.words)}


def clashes(document: Mapping[str, Any]) -> "Iterator[tuple[Path, PydanticCustomError]]":
    """Names given twice, and names that collide with a strain or medium that ships; each with its path."""
    for kind in NAMED_TABLES:
        first: dict[str, int] = {}
        for number, name in named(document, kind):
            if first.setdefault(name, number) != number:
                what = f"{called(name)} is already the name of {kind} {first[name] + 1}"
                error = refusal(
                    "duplicate-name", what, "give each its own name", "a name of its own is wanted"
                )
                yield (kind, number, "name"), error
    for number, name in named(document, "consumer") if "tank" in document else ():
        if name == TANK:
            what = f"{called(name)} is what [tank] is called among the consumers"
            error = refusal("duplicate-name", what, "choose another name", "a name of its own is wanted")
            yield ("consumer", number, "name"), error
    for name in sorted(_keys(document, "medium") & {name for name in media() if is_name(name)}):
        error = refusal(
            "duplicate-name", f"a medium called {called(name)} ships already", "choose another name"
        )
        yield ("medium", name), error
    for name, table in _named_tables(document, "strain"):
        if name in strains() and "base" in table:
            what = f"a strain called {called(name)} ships already, so it takes no base"
            error = refusal("duplicate-name", what, "choose another name, or leave out base")
            yield ("strain", name, "base"), error
        elif name not in strains() and "base" not in table and is_name(composed(name)):
            near = nearest(name, strains())
            hint = f"did you mean [strain.{near}]? " if near else ""
            hint += 'a new strain names a built-in one for its other figures: base = "tetraselmis"'
            yield ("strain", name), refusal("missing-key", "base is missing", hint)


def gather(document: Mapping[str, Any]) -> Known:
    """The names that a TOML document defines, also in tables that have other problems."""
    nutrients = [name for _, name in named(document, "nutrient")]
    seconds = {
        composed(table["other_part"])
        for table in _tables(document, "nutrient")
        if isinstance(table.get("other_part"), str) and table["other_part"] != table.get("name")
    }
    leads = sorted({name for name in nutrients if name not in seconds})
    rota = document.get("rota")
    default = rota.get("strain") if isinstance(rota, dict) else None
    return Known(
        strain=frozenset(strains()) | _keys(document, "strain"),
        medium=frozenset(media()) | _keys(document, "medium"),
        nutrient=frozenset(nutrients),
        default_strain=composed(default) if isinstance(default, str) else None,
        default_nutrient=leads[0] if len(leads) == 1 else None,
    )


def named(document: Mapping[str, Any], kind: str) -> Iterator[tuple[int, str]]:
    """Number and name of every `[[kind]]` table that has a name."""
    for number, table in enumerate(_tables(document, kind)):
        if isinstance(table.get("name"), str):
            yield number, composed(table["name"])


def _tables(document: Mapping[str, Any], kind: str) -> list[Mapping[str, Any]]:
    listed = document.get(kind)
    return [t if isinstance(t, dict) else {} for t in listed] if isinstance(listed, list) else []


def _keys(document: Mapping[str, Any], kind: str) -> frozenset[str]:
    return frozenset(composed(name) for name, _ in _named_tables(document, kind))


def _named_tables(document: Mapping[str, Any], kind: str) -> list[tuple[str, Mapping[str, Any]]]:
    tables = document.get(kind)
    return [(n, t) for n, t in tables.items() if isinstance(t, dict)] if isinstance(tables, dict) else []
