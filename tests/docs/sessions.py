"""Run the Python sessions of a page as one session, and compare or rewrite what they show.

A fence "python" with lines of `>>>` and `...` holds what is typed, each with what it prints. It is run in the folder
that holds `examples/`. Other fences are left as they are.
"""

from __future__ import annotations

import contextlib
import doctest
import io
import re
from pathlib import Path

TREE = Path(__file__).parents[2]
PAGE = TREE / "docs" / "reference" / "python.md"
_FENCE = re.compile(r"^```python\n(?P<body>>>> (?s:.*?))^```$", re.MULTILINE)


def renewed(page: str) -> str:
    """The page with what its sessions print now."""
    names: dict[str, object] = {}

    def again(fence: re.Match[str]) -> str:
        lines: list[str] = []
        for typed in doctest.DocTestParser().get_examples(fence["body"]):
            first, *more = typed.source.rstrip("\n").split("\n")
            lines += [f">>> {first}", *(f"... {line}" for line in more)]
            lines += _printed(typed.source, names)
        return "\n".join(["```python", *lines, "```"])

    with contextlib.chdir(TREE):
        return _FENCE.sub(again, page)


def _printed(source: str, names: dict[str, object]) -> list[str]:
    shown = io.StringIO()
    with contextlib.redirect_stdout(shown):
        exec(compile(source, PAGE.name, "single"), names)
    return shown.getvalue().splitlines()
