"""Documents set as PDF by an optional package. What is printed goes in as data, never as its source."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib import resources

from greenrota.views.paper.page import Paper

PDF_MARK = "made by greenrota"  # a keyword of the document; tells our own files from those of others


def typeset(folder: str, name: str, data: Mapping[str, object]) -> bytes:
    """A PDF made from the source `NAME.typ` in a package of ours, which reads `data` under that name.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    import typst

    source = resources.files(folder).joinpath(f"{name}.typ").read_bytes()
    made: bytes = typst.compile(source, sys_inputs={name: json.dumps(data, ensure_ascii=False)}, format="pdf")
    return made


def paper_size(paper: Paper) -> dict[str, object]:
    """Width, height and margin in mm, as every source reads them."""
    return {"width_mm": paper.width_mm, "height_mm": paper.height_mm, "margin_mm": paper.margin_mm}
