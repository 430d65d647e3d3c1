"""The pictures that are kept are those the program draws now."""

from pathlib import Path

import pytest
from console import PAGES
from pictures import FOLDER, PICTURES, draw


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_what_the_program_draws(name: str, tmp_path: Path) -> None:
    drawn = draw(name, tmp_path).read_bytes()
    assert drawn == (FOLDER / name).read_bytes(), "run: python tests/docs/refresh.py"


def test_no_picture_is_left_over() -> None:
    assert {file.name for file in FOLDER.iterdir()} == set(PICTURES)


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_shown_on_a_page(name: str) -> None:
    assert any(f"pictures/{name})" in page.read_text(encoding="utf-8") for page in PAGES)
