"""Text that came out of a file can not steer a terminal, and is measured as the terminal shows it."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from greenrota.views.text.lettering import display_width, pad, printable, wrap

ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=60)
WORDS = st.text(st.characters(categories=("L", "N", "P", "Zs")), max_size=80)


@given(ANY_TEXT)
def test_printable_leaves_nothing_that_steers(text: str) -> None:
    shown = printable(text)
    assert {unicodedata.category(c) for c in shown}.isdisjoint({"Cc", "Cs", "Zl", "Zp"})
    assert {unicodedata.bidirectional(c) for c in shown}.isdisjoint(
        {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}  # Unicode annex 9, explicit marks
    )
    shown.encode("utf-8")


@given(st.text(st.characters(categories=("L", "N", "P", "S", "Zs"))))
def test_printable_changes_no_ordinary_text(text: str) -> None:
    assert printable(text) == text


def test_control_characters_become_escapes_and_kept_ones_pass() -> None:
    assert printable("a\x1b[31m\x07\u202eb\n") == "a\\x1b[31m\\x07\\u202eb\\n"
    assert printable("a\tb\nc\rd", keep="\n\t") == "a\tb\nc\\rd"
    assert printable("\udcff") == "\\udcff"


def test_widths_of_wide_and_combining_characters() -> None:
    # Unicode annex 11: Han and fullwidth letters take two columns; a combining accent takes none
    assert display_width("\u5317\u5357") == 4
    assert display_width("\uff21") == 2
    assert display_width("e\u0301") == display_width("\u00e9") == 1
    assert pad("\u5317", 4) == "\u5317  "
    # no printable character of ASCII is wide or combines with another, alone or beside one that does
    plain = "".join(map(chr, range(32, 127)))
    assert display_width(plain) == len(plain) == 95
    assert display_width(plain + "\u5317") == 97


@given(WORDS, st.integers(2, 30))
def test_wrapped_lines_fit_and_lose_no_letter(text: str, columns: int) -> None:
    lines = wrap(text, columns)
    assert all(display_width(line) <= columns for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
