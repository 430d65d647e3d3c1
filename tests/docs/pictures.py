"""The pictures of the docs, each made by the program itself.

Rewrite: python tests/docs/refresh.py
"""

from __future__ import annotations

from pathlib import Path

from console import TREE, run

FOLDER = TREE / "docs" / "pictures"
# file, and the command that makes it (FILE stands for where it is written)
PICTURES: dict[str, str] = {
    "shelf-growth.svg": "growth north examples/shelf.toml --svg FILE",
    "shelf-tasks.svg": "tasks examples/shelf.toml --svg FILE",
}


def draw(name: str, folder: Path) -> Path:
    """Draw a picture into a folder and say where it is. Raises ValueError if the program does not."""
    file = folder / name
    words = PICTURES[name].replace("examples/", f"{TREE}/examples/").replace("FILE", str(file))
    printed, status = run(f"greenrota {words} --force")
    if status:
        raise ValueError(f"{name}: {printed}")
    return file
