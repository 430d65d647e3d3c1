"""The page of checks has one row for every figure of the data files, with the status that the file gives it."""

from __future__ import annotations

import re
from pathlib import Path

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains

PAGE = (Path(__file__).parents[2] / "docs" / "checks.md").read_text(encoding="utf-8")
_ROW = re.compile(r"^- (?P<what>[^:]+?) of (?P<of>[^:(]+?)(?: \((?P<status>[^)]+)\))?: ", re.MULTILINE)
_UNSAID = "our choice"  # where a row names no status


def rows() -> list[tuple[str, str, str]]:
    """What, of what, and its status, line by line of both lists; a line may be wrapped."""
    _, _, lists = PAGE.partition("\n## The figures that ship\n")
    lines = re.sub(r"\n +", " ", lists.split("\n### ")[0])
    found = [(row["what"], row["of"], row["status"] or _UNSAID) for row in _ROW.finditer(lines)]
    assert len(found) == len(re.findall(r"^- ", lines, re.MULTILINE))  # no line is passed over
    return found


def test_every_figure_of_a_strain_has_one_row_with_its_status() -> None:
    told = [
        (name, key.strip("`"), status)
        for keys, names, status in rows()
        if keys.startswith("`")
        for name in (strains() if names == "all strains" else names.split(", "))
        for key in keys.split(", ")
    ]
    shipped = [
        (name, key, source.status)
        for name, strain in strains().items()
        for key, source in strain.sources.items()
    ]
    assert sorted(told) == sorted(shipped)


def test_every_salt_of_a_medium_has_one_row_with_its_status() -> None:
    statuses = {name: {c.name: c.status for c in medium.compounds} for name, medium in media().items()}
    told = []
    for salts, name, status in rows():
        if salts.startswith("`"):
            continue
        rest = salts.removeprefix("all but ")
        named = [] if rest == "all" else rest.split(", ")
        assert set(named) <= statuses[name].keys()
        meant = [salt for salt in statuses[name] if salt not in named] if salts.startswith("all") else named
        base = (
            statuses[status.removeprefix("as ")] if status.startswith("as ") else dict.fromkeys(meant, status)
        )
        told += [(name, salt, base[salt]) for salt in meant]
    shipped = [(name, salt, status) for name, salts in statuses.items() for salt, status in salts.items()]
    assert sorted(told) == sorted(shipped)


def test_a_source_of_something_else_is_no_published_figure() -> None:
    # by hand: what these sources speak of is not what the figure is used as
    found = {
        (name, key): source.status
        for name, strain in strains().items()
        for key, source in strain.sources.items()
    }
    for name in strains():
        assert found[name, "fridge_days"] == "our choice"  # concentrates, flocculated cells, or nothing
        assert found[name, "light_low_lux"] == "our choice"  # algae in general
        assert found[name, "light_high_lux"] == "our choice"
        assert found[name, "salinity_opt_low_psu"] == "our choice"
