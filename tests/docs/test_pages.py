"""README and the other pages: what they show is what the program prints, and what they point to is there."""

import re
from pathlib import Path

import pytest
from console import PAGES, TREE, Wanted, commands, refreshed, run

_LINK = re.compile(r"\]\((?!https?:)(?P<file>[^)#\s]+)?(?:#(?P<heading>[^)\s]+))?\)")
_PAGES = [page for page in (*PAGES, TREE / "DEVELOPERS.md") if page.name != "first-rotation.md"]


def _name(page: Path) -> str:
    return page.relative_to(TREE).as_posix()


@pytest.mark.parametrize("page", _PAGES, ids=_name)
def test_every_block_prints_what_the_page_shows(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert refreshed(text) == text, f"run: python tests/docs/console.py --write {_name(page)}"


def test_no_page_shows_dates_that_were_found_before(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GREENROTA_CACHE", str(tmp_path))
    printed, status = run(f"greenrota tasks {TREE}/examples/shelf.toml")
    assert status == 0 and "harvest" in printed
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("page", [*PAGES, TREE / "DEVELOPERS.md"], ids=_name)
def test_every_link_leads_somewhere(page: Path) -> None:
    for link in _LINK.finditer(page.read_text(encoding="utf-8")):
        target = page.parent / link["file"] if link["file"] else page
        assert target.exists(), link[0]
        if link["heading"]:
            assert link["heading"] in _anchors(target), link[0]


def test_the_readme_is_short_and_shows_a_result_first() -> None:
    lines = (TREE / "README.md").read_text(encoding="utf-8").splitlines()
    assert len(lines) < 120
    first_screen = lines[:45]  # a screen of 45 lines: our choice
    assert first_screen.index("$ greenrota month examples/shelf.toml") < 15
    weeks = [line for line in first_screen if re.match(r"[A-Z][a-z]{2} \d{4} ", line)]
    assert len(weeks) == 4  # most of a month, by hand: four weeks are shown
    told = " ".join(first_screen)
    assert all(word in told for word in ("start", "harvest", "bank", "(ripe)", "mix", "off"))


def test_the_notebook_lines_for_developers_run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(TREE)
    [lines] = re.findall(r"^```python\n(.*?)^```$", _developers(), re.MULTILINE | re.DOTALL)
    exec(compile(lines, "DEVELOPERS.md", "exec"), {})
    assert "2027-02-03 north/1/start" in capsys.readouterr().out  # the first open day of the plan, by hand


def test_every_file_that_developers_are_sent_to_is_there() -> None:
    named = re.findall(r"`([\w./-]+/[\w.*-]*)`", _developers())
    assert len(named) > 30
    for name in named:
        places = (TREE, TREE / "src" / "greenrota", TREE / "tests" / "bench")
        assert any(list(place.glob(name)) for place in places), name


def _developers() -> str:
    return (TREE / "DEVELOPERS.md").read_text(encoding="utf-8")


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def test_a_stale_page_is_seen() -> None:
    page = '```console\n$ greenrota reckon salt "4 L" "26 psu"\n1 g\n```\n'
    fresh = refreshed(page)
    assert fresh != page
    assert refreshed(fresh) == fresh


def test_a_command_that_fails_is_not_shown_as_if_it_had_worked() -> None:
    with pytest.raises(ValueError, match="ended with 1"):
        refreshed("```console\n$ greenrota check\n```\n")
    assert "[no-plan]" in refreshed("```console status=1\n$ greenrota check\n```\n")


def test_what_is_left_out_is_marked() -> None:
    printed = "one\ntwo\nthree\nfour\nfive\n"
    assert Wanted.of("").shown(printed) == ["one", "two", "three", "four", "five"]
    assert Wanted.of("from=two until=five").shown(printed) == ["…", "two", "three", "four", "…"]
    assert Wanted.of("lines=1,4-9").shown(printed) == ["one", "…", "four", "five"]
    assert Wanted.of("from=two lines=1-2").shown(printed) == ["…", "two", "three", "…"]
    with pytest.raises(ValueError, match="no line with"):
        Wanted.of("from=six").shown(printed)


def test_a_console_block_has_a_command() -> None:
    with pytest.raises(ValueError, match="without a command"):
        commands("greenrota tasks\n")
