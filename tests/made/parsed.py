"""Modules of the package as syntax trees, each read once for all tests that look at the source."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def parsed(path: Path) -> ast.Module:
    """The tree of a module; nobody may change it."""
    return ast.parse(path.read_text(encoding="utf-8"))
