"""What a wrong plan is told: code, place and hint of every kind of problem, all in one run."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_texts import FULL, SHORT, changed, only_problem, problems

from greenrota.errors import Place, ProblemsFound
from greenrota.planfile.read.load import LARGEST_BYTES, read_plan, read_plan_bytes

NAME, DAYS, FILL = 'name = "north"', "days = 31", 'fill = "4 L"'
VESSEL = '[[vessel]]\nname = "{}"\nvolume = "5 L"\nfill = "4 L"\nphotoperiod = "14 h"\n'
AWAY = "[[away]]\nfrom = 2027-02-13\nto = 2027-02-17\n"


def added(text: str) -> str:
    return SHORT + text


@pytest.mark.parametrize(
    ("text", "code", "line", "marked", "hint"),
    [
        (changed(FILL, 'fil = "4 L"'), "unknown-key", 17, "fil", '"fill"'),
        (changed(FILL, FILL + "\nglass = 1"), "unknown-key", 18, "glass", "volume, fill, photoperiod"),
        (added("[vessels]\n"), "unknown-key", 19, "[vessels]", '"vessel"'),
        (changed(FILL, "# none"), "missing-key", 14, "[[vessel]]", "Working volume"),
        (changed(DAYS, 'days = "31"'), "wrong-type", 4, '"31"', "without quotes"),
        (changed(DAYS, "days = 31.0"), "wrong-type", 4, "31.0", "31"),
        (changed(DAYS, "days = true"), "wrong-type", 4, "true", "31"),
        (changed(DAYS, "days = 0"), "out-of-range", 4, "0", "31"),
        (changed(DAYS, "days = 401"), "out-of-range", 4, "401", "31"),
        (changed(DAYS, "days = 0x" + "f" * 4000), "out-of-range", 4, "0x" + "f" * 4000, "31"),
        (
            changed("start = 2027-02-01", 'start = "2027-02-01"'),
            "wrong-type",
            3,
            '"2027-02-01"',
            ": 2027-02-01",
        ),
        (
            changed("start = 2027-02-01", "start = 2027-02-01 07:00:00"),
            "wrong-type",
            3,
            "2027-02-01 07:00:00",
            "time",
        ),
        (changed("start = 2027-02-01", "start = 0207-02-01"), "out-of-range", 3, "0207-02-01", "year"),
        (changed("start = 2027-02-01", "start = 9999-12-31"), "out-of-range", 3, "9999-12-31", "year"),
        (changed(FILL, "fill = 4"), "bad-quantity", 17, "4", '"4 L"'),
        (changed(FILL, "fill = true"), "bad-quantity", 17, "true", '"1.5 L"'),
        (changed(FILL, 'fill = "1e-99 L"'), "out-of-range", 17, '"1e-99 L"', "number and at its unit"),
        (changed(FILL, 'fill = "4"'), "bad-quantity", 17, '"4"', '"4 L"'),
        (changed(FILL, 'fill = "3,5 L"'), "bad-quantity", 17, '"3,5 L"', '"3.5 L"'),
        (changed(FILL, 'fill = "1500 mg"'), "wrong-dimension", 17, '"1500 mg"', '"1.5 L"'),
        (changed(FILL, 'fill = "35 ppt"'), "wrong-dimension", 17, '"35 ppt"', '"1.5 L"'),
        (changed(FILL, 'fill = "0 L"'), "out-of-range", 17, '"0 L"', "number and at its unit"),
        (changed(FILL, 'fill = "6 L"'), "fill-over-brim", 17, '"6 L"', "brim"),
        (changed(NAME, 'name = "a/b"'), "bad-name", 15, '"a/b"', "letters, digits"),
        (changed(NAME, 'name = ""'), "bad-name", 15, '""', "letters, digits"),
        (changed(NAME, 'name = "-"'), "bad-name", 15, '"-"', "letters, digits"),
        (changed(NAME, 'name = "a:b"'), "bad-name", 15, '"a:b"', "letters, digits"),
        (changed(NAME, 'name = "a=b"'), "bad-name", 15, '"a=b"', "letters, digits"),
        (changed(NAME, r'name = "a\u001bb"'), "bad-name", 15, r'"a\u001bb"', "letters, digits"),
        (changed(NAME, f'name = "{"x" * 41}"'), "bad-name", 15, f'"{"x" * 41}"', "1 to 40"),
        (changed(NAME, "name = 1"), "wrong-type", 15, "1", "quotes"),
        (
            changed('strain = "tetraselmis"', 'strain = "tetraselmiss"'),
            "unknown-strain",
            5,
            '"tetraselmiss"',
            "mis",
        ),
        (changed(NAME, NAME + '\nstrain = "zzz"'), "unknown-strain", 16, '"zzz"', "pavlova"),
        (changed('medium = "f/2"', 'medium = "f/3"'), "unknown-medium", 12, '"f/3"', '"f/2"'),
        (changed(NAME, NAME + '\nnutrient = "f3"'), "unknown-nutrient", 16, '"f3"', "one of f2"),
        (changed('name = "f2"', 'name = "f2"\nother_part = "f2"'), "unknown-nutrient", 12, '"f2"', "second"),
        (changed(NAME, NAME + '\nrole = "stanby"'), "bad-choice", 16, '"stanby"', '"standby"'),
        (added(VESSEL.format("north")), "duplicate-name", 20, '"north"', "its own name"),
        (added("[cycle]\ninoculum = 20\n"), "inoculum-share", 20, "20", "did you mean 0.20?"),
        (added("[cycle]\ninoculum = 2.5\n"), "inoculum-share", 20, "2.5", "did you mean 0.025?"),
        (added("[cycle]\ninoculum = 1\n"), "inoculum-share", 20, "1", "0.20"),
        (added("[cycle]\ninoculum = -0.2\n"), "inoculum-share", 20, "-0.2", "0.20"),
        (added("[cycle]\ninoculum = nan\n"), "inoculum-share", 20, "nan", "0.20"),
        (added("[cycle]\ninoculum = inf\n"), "inoculum-share", 20, "inf", "0.20"),
        (added('[cycle]\ninoculum = "20 %"\n'), "wrong-type", 20, '"20 %"', "0.20"),
        (added("[cycle]\ndays = 8\nfeed_day = 8\n"), "out-of-range", 21, "8", "1 to 7"),
        (added(AWAY.replace("02-17", "01-17")), "bad-date-range", 21, "2027-01-17", "swap"),
        (added('[work]\ndays = ["Wednesday"]\n'), "bad-choice", 20, '"Wednesday"', '"Wed"'),
        (added('[work]\ndays = "Wed"\n'), "wrong-type", 20, '"Wed"', '["Wed", "Sat"]'),
        (added("[[cycle]]\n"), "wrong-type", 19, "[[cycle]]", "[cycle]"),
        (added("[away]\n"), "wrong-type", 19, "[away]", "[[away]]"),
        (added("[strain]\ntetraselmis = 1\n"), "wrong-type", 20, "1", "[strain]"),
        (
            added('[strain.mine]\nrate = "1 /day"\n'),
            "missing-key",
            19,
            "[strain.mine]",
            'base = "tetraselmis"',
        ),
        (added('[strain.pavlova]\nbase = "isochrysis"\n'), "duplicate-name", 20, '"isochrysis"', "base"),
        (added('[strain."a/b"]\nbase = "pavlova"\n'), "bad-name", 19, '[strain."a/b"]', "letters"),
        (
            added('[medium.L1]\nnitrate = "9 mg/L"\nphosphate = "1 mg/L"\n'),
            "duplicate-name",
            19,
            "[medium.L1]",
            "name",
        ),
        (
            added('[medium.x]\nnitrate = "0 mg/L"\nphosphate = "0 mg/L"\n'),
            "out-of-range",
            21,
            '"0 mg/L"',
            "one",
        ),
        (changed('salinity = "26 psu"', 'salinity = "44 psu"'), "out-of-range", 9, '"44 psu"', '"26 psu"'),
        (changed('salinity = "26 psu"', 'salinity = "1.2 SG"'), "out-of-range", 9, '"1.2 SG"', "1.020 SG"),
        (
            changed('salinity = "26 psu"', 'salinity = "26 psu"\nsalt_hydration = 0.4'),
            "out-of-range",
            10,
            "0.4",
            "0.10",
        ),
        (added('[output]\nunits = "US"\n'), "bad-choice", 20, '"US"', '"us"'),
    ],
)
def test_one_slip_is_one_problem(text: str, code: str, line: int, marked: str, hint: str) -> None:
    problem = only_problem(text)
    where = problem.where
    assert (problem.code, where.line) == (code, line)
    assert where.text[where.column - 1 :][: where.width] == marked
    assert hint in problem.hint


def test_the_hydrometer_has_its_own_code() -> None:
    problem = only_problem(changed('salinity = "26 psu"', 'salinity = "1.020 SG"\nhydrometer = "25/25"'))
    assert (problem.code, problem.where.line) == ("bad-hydrometer", 10)


def test_a_key_left_out_with_several_choices_must_be_named() -> None:
    second = '[[nutrient]]\nname = "walne"\nmedium = "Walne"\ndose = "1 mL/L"\n'
    problem = only_problem(added(second))
    assert (problem.code, problem.where.line) == ("missing-key", 14)
    assert 'vessel "north": nutrient is missing' in problem.what and '"walne"' in problem.hint


def test_a_strain_that_nobody_names_is_missing() -> None:
    problem = only_problem(changed('strain = "tetraselmis"', "# none"))
    assert (problem.code, problem.where.line) == ("missing-key", 14)


def test_a_problem_names_the_thing_and_the_key() -> None:
    assert only_problem(changed(FILL, 'fill = "1500 mg"')).what == (
        'vessel "north": fill: "1500 mg" is a mass; a volume such as "1.5 L" is wanted here'
    )


def test_all_problems_of_a_file_in_one_run_in_the_order_of_its_lines() -> None:
    text = FULL.replace('"5 L" ', '"5 kg"').replace("= 0.20", "= 20").replace("2027-02-17", "2027-01-17")
    text = (
        text.replace('medium = "f/2"', 'medium = "f/9"')
        .replace('"120 mL/day"', "120")
        .replace("[work]", "[wrk]")
    )
    text += '[[vessel]]\nname = "north"\nfill = "x"\nstrain = "nobody"\n'
    assert [(p.where.line, p.code) for p in problems(text)] == [
        (18, "unknown-medium"),
        (31, "wrong-dimension"),
        (36, "inoculum-share"),
        (44, "bad-quantity"),
        (47, "unknown-key"),
        (53, "bad-date-range"),
        (58, "missing-key"),
        (58, "missing-key"),
        (59, "duplicate-name"),
        (60, "bad-quantity"),
        (61, "unknown-strain"),
    ]


def test_an_empty_file_lacks_every_needed_table() -> None:
    found = problems("")
    assert {p.code for p in found} == {"missing-key"} and {p.where for p in found} == {Place("plan.toml")}
    assert [p.what.split()[0] for p in found] == ["[rota]", "[room]", "[water]", "[[nutrient]]", "[[vessel]]"]


@pytest.mark.parametrize(
    ("text", "line", "hint"),
    [
        ("[rota]\nx = 5 L\n", 2, 'x = "5 L"'),
        ("[rota]\nx = nought # so\n", 2, 'x = "nought"'),
        ("[rota]\n[rota]\n", 2, "twice"),
        ("a = 1\na = 2\n", 2, "twice"),
        ("[rota\n", 1, "[rota]"),
        ("a = [\n", 1, "key = value"),
    ],
)
def test_what_is_no_toml_is_told_with_its_line(text: str, line: int, hint: str) -> None:
    problem = only_problem(text)
    assert (problem.code, problem.where.line) == ("toml-syntax", line)
    assert hint in problem.hint


@pytest.mark.parametrize("text", ["a = " + "[" * 100_000, "a = " + "1" * 5000, "a." * 200_000 + "a = 1"])
def test_hostile_toml_is_refused(text: str) -> None:
    assert only_problem(text).code == "toml-syntax"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"[rota]\nname = '\xff'\n", "not-text"),
        (SHORT.encode("utf-16"), "not-text"),
        (b"\0" + SHORT.encode(), "not-text"),
        (b"#" * (LARGEST_BYTES + 1), "too-large"),
    ],
)
def test_what_is_no_plan_at_all(data: bytes, code: str) -> None:
    with pytest.raises(ProblemsFound) as caught:
        read_plan_bytes(data, "plan.toml")
    assert [p.code for p in caught.value.problems] == [code]
    assert caught.value.problems[0].where.file == "plan.toml"


@given(st.data())
def test_a_plan_cut_and_patched_anywhere_is_read_or_told(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(FULL)))
    end = data.draw(st.integers(start, min(len(FULL), start + 30)))
    patch = data.draw(st.text(st.sampled_from("\"'[]{}=#.,\n 1e9aL/-\\\r\u00e9"), max_size=6))
    text = FULL[:start] + patch + FULL[end:]
    try:
        read_plan(text, "plan.toml")
    except ProblemsFound as found:
        lines = text.replace("\r\n", "\n").split("\n")
        for problem in found.problems:
            assert problem.what.isprintable() and problem.hint
            assert problem.where.line == 0 or problem.where.text == lines[problem.where.line - 1]
