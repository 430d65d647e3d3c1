"""Make every figure of README and docs anew: the output of all console blocks, and the pictures.

Run: python tests/docs/refresh.py
"""

from __future__ import annotations

from console import PAGES, refreshed
from pictures import FOLDER, PICTURES, draw


def main() -> None:
    """Rewrite what has changed and say so."""
    FOLDER.mkdir(exist_ok=True)
    for name in PICTURES:
        file = FOLDER / name
        old = file.read_bytes() if file.exists() else b""
        if draw(name, FOLDER).read_bytes() != old:
            print(f"{file}: rewritten")
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        new = refreshed(text)
        if new != text:
            page.write_text(new, encoding="utf-8")
            print(f"{page}: rewritten")


if __name__ == "__main__":
    main()
