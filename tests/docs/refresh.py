"""Make all of README and docs anew that is made: console blocks, sessions, tables, pictures, reference, schema.

Run: python tests/docs/refresh.py
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import make_reference
import sessions
from console import PAGES, TREE, refreshed
from pictures import FOLDER, PICTURES, draw

from greenrota.planfile.tables.jsonschema import json_schema_text


def main() -> None:
    """Rewrite what has changed and say so."""
    _renew(TREE / "docs" / "plan.schema.json", json_schema_text().encode())
    make_reference.main()
    FOLDER.mkdir(exist_ok=True)
    for name in PICTURES:
        with tempfile.TemporaryDirectory() as folder:
            _renew(FOLDER / name, draw(name, Path(folder)).read_bytes())
    for page in PAGES:
        _renew(page, refreshed(page.read_text(encoding="utf-8")).encode())
    _renew(sessions.PAGE, sessions.renewed(sessions.PAGE.read_text(encoding="utf-8")).encode())


def _renew(file: Path, wanted: bytes) -> None:
    if not file.exists() or file.read_bytes() != wanted:
        file.write_bytes(wanted)
        print(f"{file}: rewritten")


if __name__ == "__main__":
    main()
