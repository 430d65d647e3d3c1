"""The JSON that every `--json` prints, one object whose first key says its format, and the numbers in it.

Numbers in JSON and CSV are rounded below what can be measured, and never to zero.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import overload


def json_document(form: str, answer: Mapping[str, object]) -> str:
    """One JSON object; `form` is its format such as `greenrota/tasks/1`. No newline at the end.

    `answer` holds what JSON knows: texts, numbers, lists, mappings. Raises ValueError for a number that is none or not
    finite. Letters outside ASCII stay as they are.

    >>> print(json_document("greenrota/reckon-salt/1", {"salt_g": 112.5}))
    {
     "format": "greenrota/reckon-salt/1",
     "salt_g": 112.5
    }
    """
    return json.dumps({"format": form, **answer}, ensure_ascii=False, allow_nan=False, indent=1)


@overload
def figure(value: float) -> float: ...
@overload
def figure(value: None) -> None: ...
@overload
def figure(value: float | None) -> float | None: ...


def figure(value: float | None) -> float | None:
    """A number rounded to three decimals, or to four digits if it is below one; None stays None. Source: our choice.

    >>> figure(3812.49999), figure(0.00654321), figure(None)
    (3812.5, 0.006543, None)
    """
    if value is None:
        return None
    return round(value, 3) if abs(value) >= 1.0 else float(f"{value:.4g}")
