"""The tutorial, run from an empty folder: every command, and every line it is said to print."""

from console import TREE, commands, refreshed

PAGE = TREE / "docs" / "first-rotation.md"
TAUGHT = (
    *("new", "check", "month", "tasks", "today", "log started", "log counted", "log done"),
    *("log crashed", "changes"),
)
MOST_WORDS = 2000  # read and typed in ten minutes at 200 words a minute; the speed is from memory


def test_every_block_prints_what_the_page_shows() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert refreshed(page) == page, "run: python tests/docs/console.py --write docs/first-rotation.md"


def test_the_page_goes_from_an_empty_shelf_to_the_first_weeks() -> None:
    page = PAGE.read_text(encoding="utf-8")
    run = [command for command in commands(page) if command.startswith("greenrota ")]
    for taught in TAUGHT:
        assert any(command.startswith(f"greenrota {taught}") for command in run), taught
    assert run[0].startswith("greenrota new")


def test_it_can_be_read_in_ten_minutes() -> None:
    assert len(PAGE.read_text(encoding="utf-8").split()) <= MOST_WORDS
