"""Dates and plain numbers on the command line: one spelling, everything else refused."""

from datetime import date

import pytest
from typed import typed

from greenrota.cli.options.options import iso_day
from greenrota.errors import ProblemsFound


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2027-2-1",
        "20270201",
        "2027-W05-1",
        "01.02.2027",
        "2027-02-30",
        "2027-13-01",
        "0000-01-01",
        " 2027-02-01",
        "2027-02-01T00:00",
        "\u0662\u0660\u0662\u0667-02-01",
        "today",
        "9999-12-31",
        "1969-12-31",
    ],
)
def test_only_iso_dates_of_the_calendar(text: str) -> None:
    with pytest.raises(ProblemsFound) as found:
        iso_day(text, "--on")
    assert found.value.status == 2
    assert [(p.code, str(p.where)) for p in found.value.problems] == [("bad-date", "--on")]


def test_a_leap_day_is_a_day() -> None:
    assert iso_day("2028-02-29", "--on") == date(2028, 2, 29)


@pytest.mark.parametrize("text", ["inf", "nan", "-1", "1e5", "1,5", "1_000", "", "9" * 12, "\u0661"])
def test_plain_numbers_only(text: str) -> None:
    result = typed("reckon", "dose", "4 L", "0.2 mL/L", f"--doses={text}")
    assert isinstance(result.exception, ProblemsFound)
    assert [p.code for p in result.exception.problems] == ["bad-number"]
    assert result.exception.status == 2
