"""The reference tells what there is: keys, commands, codes, fields and words, no more and no less."""

from __future__ import annotations

import re
import shlex
from datetime import date
from pathlib import Path

import pytest
import sessions
from codes import codes_in, problem_codes, warning_codes
from command_pages import words
from json_fields import EVERYWHERE, RUNS, pattern, printed, told
from make_reference import MADE, PAGES, ROOT, parts_of, renewed
from plan_keys import tables
from shelf_life import PLAN, VESSEL
from typed import typed
from typer.testing import CliRunner

import greenrota
from greenrota.cli.main import build
from greenrota.cli.reckon.reckon import RECKONINGS
from greenrota.cli.table import COMMANDS
from greenrota.culture.bench import inoculum
from greenrota.culture.data.strain import strains
from greenrota.culture.fit import nextcount, tally
from greenrota.culture.growth import carbon, light
from greenrota.logbook.vocabulary import KINDS
from greenrota.planfile.read.blank import blank_plan
from greenrota.risk import luck
from greenrota.risk import size as risk_size
from greenrota.rota.rota import Rota
from greenrota.rota.search import homes
from greenrota.rota.simulate import before_away, empty_vessels, projection
from greenrota.rota.simulate import simulation as walk
from greenrota.rota.state import backups, cycle, donors
from greenrota.rota.tasks import supplies

REFERENCE = ROOT / "docs" / "reference"
_KIND = re.compile(r"^- `([a-z-]+)`:", re.MULTILINE)
# A line of the lists of problems.md: one code or several, then a colon.
_CODES = re.compile(r"^- (`[a-z-]+`(?:,\s+`[a-z-]+`)*):", re.MULTILINE)


def codes_told(text: str) -> list[str]:
    """The codes that the lists of a page explain, in order."""
    return [code for line in _CODES.findall(text) for code in re.findall(r"`([a-z-]+)`", line)]


def page(name: str) -> str:
    return (REFERENCE / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_the_made_parts_are_as_the_program_has_them(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert renewed(text) == text, "run: python tests/docs/make_reference.py"


def test_every_made_part_stands_on_one_page() -> None:
    parts = [part for path in PAGES for part in parts_of(path.read_text(encoding="utf-8"))]
    assert sorted(parts) == sorted(MADE)


def test_a_stale_part_is_seen() -> None:
    stale = "<!--made:causes-->\nold\n<!--end-->"
    assert renewed(stale) != stale
    assert renewed(renewed(stale)) == renewed(stale)


def test_every_key_is_told_with_its_meaning() -> None:
    for name, model in tables().items():
        assert all(field.description for field in model.model_fields.values()), name


def test_the_commented_plan_shows_every_key() -> None:
    """The page sends readers there for examples; what a consumer shares with the tank is shown there once."""
    shown = set()
    table = ""
    for line in blank_plan(date(2027, 2, 1)).splitlines():
        text = re.sub(r"^# ?", "", line)
        if header := re.match(r"\[+([a-z]+)", text):
            table = header[1]
        shown |= {(table, key) for key in re.findall(r"\b([a-z_]+)\s*= *\S", text)}
    keys = {
        (name, f.alias or key) for name, model in tables().items() for key, f in model.model_fields.items()
    }
    assert keys - shown <= {("consumer", key) for of, key in shown if of == "tank"}


def test_every_problem_and_warning_has_an_entry_and_no_entry_is_of_none() -> None:
    problems, warnings = page("problems.md").split("\n## Warnings\n")
    assert sorted(codes_told(problems)) == sorted(problem_codes())
    assert sorted(codes_told(warnings)) == sorted(warning_codes())


@pytest.mark.parametrize(
    ("source", "codes"),
    [
        ('Problem("new-code", where, "what")', {"new-code"}),
        ('found = Problem(code="new-code")', {"new-code"}),
        ('PlanWarning("brim", "text")', {"brim"}),
        ('yield "carbon", "text"', {"carbon"}),
        ('refusal(f"unknown-{to}", "what")', {"unknown-strain", "unknown-medium", "unknown-nutrient"}),
        ('"""a doc-string"""\ncause = "air-failure"', set()),
    ],
)
def test_codes_are_found_where_they_are_made(source: str, codes: set[str]) -> None:
    assert codes_in(source, yields_warnings=True) == codes


def test_every_option_of_the_help_is_on_the_page() -> None:
    """The help is what typer makes of the signatures; the page reads them itself."""
    text = page("commands.md")
    names = [each.name for each in COMMANDS]
    names += [f"reckon {command.__name__}" for _, command, _ in RECKONINGS]
    for name in names:
        section = text.split(f"\n### {name}\n")[1].split("\n##")[0]
        shown = CliRunner().invoke(build(), [*name.split(), "--help"], env={"COLUMNS": "200"}).stdout
        options = set(re.findall(r"^ +(?:-h, )?(--[a-z-]+)", shown, re.MULTILINE)) - {"--help"}
        shared = re.findall(r"^(?:Shared|Keys): (.*)", section, re.MULTILINE)
        named = re.findall(r"^- `(--[a-z-]+)", section, re.MULTILINE) + re.findall(
            r"`(--[a-z-]+)", " ".join(shared)
        )
        assert sorted(options) == sorted(named), name


def test_every_example_runs_as_it_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a folder with the example plan, cut short, as `examples/shelf.toml` and as a plan of one's own."""
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "examples" / "shelf.toml").read_text(encoding="utf-8")
    short = re.sub(r"^days   = \d+", "days   = 24", text, flags=re.MULTILINE)
    assert short != text
    for name in ("own", "examples"):
        (tmp_path / name).mkdir()
        (tmp_path / name / ("plan.toml" if name == "own" else "shelf.toml")).write_text(
            short, encoding="utf-8"
        )
    (tmp_path / "own" / "plan.log").write_text("2027-02-01 started south n=1\n", encoding="utf-8")
    for example in [*(each.example for each in COMMANDS), *(example for *_, example in RECKONINGS)]:
        words = shlex.split(example)[1:]
        words += {"risk": ["--seasons", "50"], "size": ["--seasons", "100", "--most", "1"]}.get(words[0], [])
        if words[0] == "log":
            words += ["--plan", "own/plan.toml", "--on", "2027-02-13"]
        result = typed(*words)
        assert result.exit_code == 0, (example, result.output, result.exception)


def test_every_kind_of_entry_is_explained() -> None:
    explained = page("logbook.md").split("What happened")[1].split("## Keys")[0]
    assert _KIND.findall(explained) == list(KINDS)


def test_every_command_that_prints_json_is_asked_for_it() -> None:
    named = [(each.name, each.function()) for each in COMMANDS]
    named += [(f"reckon {command.__name__}", command) for _, command, _ in RECKONINGS]
    able = {name for name, command in named if any(word.written == "--json" for word in words(command))}
    asked = {" ".join(run[: 2 if run[0] == "reckon" else 1]) for run in RUNS}
    assert asked == able


def test_every_field_of_every_json_format_is_told_and_every_one_told_is_there(tmp_path: Path) -> None:
    plan = PLAN.format(starter="1 L") + "".join(VESSEL.format(name=name) for name in ("north", "south"))
    plan = plan.replace("days = 28", "days = 24").replace('"16 h"', '"14 h"')
    there, on_page = printed(tmp_path, plan), told()
    shared = on_page.pop(EVERYWHERE)
    everything = set().union(*there.values())
    assert all(any(pattern(field).fullmatch(each) for each in everything) for field in shared)
    assert there.keys() == on_page.keys()
    for name, fields in there.items():
        patterns = [pattern(field) for field in on_page[name]]
        known = [*patterns, *map(pattern, shared)]
        lacking = {field for field in fields if not any(each.fullmatch(field) for each in known)}
        empty = {
            field
            for field in lacking
            if any(each.startswith(f"{field}.") for each in (*on_page[name], *shared))
        }
        assert not lacking - empty, name
        idle = {each.pattern for each in patterns if not any(each.fullmatch(field) for field in fields)}
        assert not idle, name


@pytest.mark.usefixtures("whole_search")
def test_the_sessions_in_python_print_what_the_page_shows() -> None:
    text = sessions.PAGE.read_text(encoding="utf-8")
    assert sessions.renewed(text) == text, "run: python tests/docs/refresh.py"
    wrong = "```python\n>>> 1 + 1\n3\n```"
    assert sessions.renewed(wrong) == wrong.replace("3", "2")


def test_everything_at_the_front_door_is_on_the_page_of_python() -> None:
    text = sessions.PAGE.read_text(encoding="utf-8")
    assert [name for name in greenrota.__all__ if name != "__version__" and f"- `{name}(" not in text] == []
    named = set(re.findall(r"`rota\.(\w+)", text))
    assert named - {name for name in dir(Rota) if not name.startswith("_")} == set()


# What the model page says in words, and the figure in the program that it has to agree with.
SAID = {
    "ripe: 80 % of the ceiling": f"{cycle.RIPE_SHARE:.0%}" == "80%",
    "at a standstill: 95 % of the ceiling": f"{cycle.STATIONARY_SHARE:.0%}" == "95%",
    "over-ripe: 3 full days at a standstill": cycle.GRACE_DAYS == 3,
    "may be harvested, if something is gained: 70 % of the ceiling": projection.READY_SHARE == 0.70,
    "lifts the ceiling by 10 % or more": cycle.FEED_GAIN == 0.10,
    "reaches half of the ceiling": projection.FEED_AT_SHARE == 0.5,
    "within 2 days of the filling": projection.SETTLE_DAYS == 2,
    "carry-overs of 15, 20, ... 60 %": tuple(n / 100 for n in range(15, 65, 5)) == cycle.KEEP_SHARES,
    "intervals of 2 to 28 days": range(2, 29) == cycle.INTERVALS,
    "still gives 95 % of that": cycle.NEARLY_MOST == 0.95,
    "broken down after 8 re-seeds": cycle.RENEW_AFTER == 8,
    "start at 6.5 % of their ceiling": inoculum.MIN_START_SHARE == 0.065,
    "no older than 3 days counts as growing": inoculum.FRESH_DAYS == 3.0,
    "lag = 4 days * min(1, s)": inoculum.FRIDGE_LAG_END_DAYS == 4.0,
    "alive = 1 - 0.5 s": inoculum.FRIDGE_ALIVE_END_SHARE == 0.5,
    "filled more than 2 days ago, at half of its ceiling": (donors.SETTLED_DAYS, donors.DONOR_SHARE)
    == (2, 0.5),
    "ripe within 2 days": donors.WAIT_DAYS == 2,
    "half of the least start": donors.THIN_START == 0.5,
    "once it has spent half of its fridge days": backups.REFRESH_SHARE == 0.5,
    "It holds 1.5 times what": backups.BANK_MARGIN == 1.5,
    "never more than 1 L": backups.MOST_BACKUP_ML == 1000.0,
    "not renewed within 3 days of each other": empty_vessels.RENEWAL_GAP_DAYS == 3,
    "wait up to 3 re-seeds more": walk.LATEST_RENEWAL == 3,
    "down to 5 % of the fill in steps of 5 %": (before_away.THINNEST_SHARE, before_away.THIN_STEP)
    == (0.05, 0.05),
    "down to 6 h in steps of 2 h": (before_away.DIMMEST_H, before_away.DIM_STEP_H) == (6.0, 2.0),
    "15 to 90 % of the working volume": (min(cycle.CARRY_OVERS), max(cycle.CARRY_OVERS)) == (0.15, 0.90),
    "a tenth of its working volume": homes.LEAST_VOLUME_SHARE == 0.1,
    "a back-up that would be older than 7 days": backups.FRESH_DAYS == 7,
    "0.0145 umol/m2/s to a lux": light.PAR_PER_LUX == 0.0145,
    "f = hours / 16": light.FULL_CREDIT_H == 16.0,
    "at 420 ppm": carbon.CO2_PPM == 420.0,
    "0.2 L a minute for each litre": carbon.DEFAULT_AIR_VVM == 0.2,
    "at 500 mg/L of chlorine": supplies.SOAK_CHLORINE_MG_PER_L == 500.0,
    "rinsed twice": supplies.RINSES == 2,
    "taken as 5 %, the weak end": supplies.BLEACH_PERCENT == 5.0,
    "(10 %, our choice; `--handling`)": tally.HANDLING == 0.10,
    "with w = 20 % (our choice)": tally.WRITTEN == 0.20,
    "14 days ahead": nextcount.DAYS_AHEAD == 14,
    "carry-overs of 25, 40 and 50 %": risk_size.MORE_FEED == (0.25, 0.40, 0.50),
    "one of 2^32": luck.NUMBERS == 2**32,
    "(V / 4 L)^-0.4": all((s.ceiling_volume_l, s.ceiling_exponent) == (4.0, 0.4) for s in strains().values()),
    "set to q_N / 28": all(abs(s.n_pmol / s.p_pmol - 28.0) < 0.6 for s in strains().values()),  # two digits
}


@pytest.mark.parametrize("words", SAID)
def test_what_the_model_says_is_what_the_program_does(words: str) -> None:
    model = " ".join((ROOT / "docs" / "model.md").read_text(encoding="utf-8").split())
    assert words in model
    assert SAID[words]
