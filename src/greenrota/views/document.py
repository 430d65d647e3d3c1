"""The JSON that every `--json` prints: one object whose first key says its format."""

from __future__ import annotations

import json
from collections.abc import Mapping


def json_document(form: str, told: Mapping[str, object]) -> str:
    """One JSON object; `form` is its format such as `greenrota/tasks/1`. No newline at the end.

    `told` holds what JSON knows: texts, numbers, lists, mappings. Raises ValueError for a number that is none or not
    finite. Letters outside ASCII stay as they are.

    >>> print(json_document("greenrota/reckon-salt/1", {"salt_g": 112.5}))
    {
     "format": "greenrota/reckon-salt/1",
     "salt_g": 112.5
    }
    """
    return json.dumps({"format": form, **told}, ensure_ascii=False, allow_nan=False, indent=1)
