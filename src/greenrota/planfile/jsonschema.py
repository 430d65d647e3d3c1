"""The JSON Schema of a plan, so that editors complete and check one while it is written.

`docs/plan.schema.json` holds `json_schema_text()`; a test tells when it is out of date and how to renew it.
The schema tells shapes, keys, units and bounds of bare numbers; what needs reckoning or a look at another key
is told by `greenrota check`.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from greenrota.planfile.schema import PlanTable

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Schema(GenerateJsonSchema):
    def default_schema(self, schema: Any) -> dict[str, Any]:
        """Without the default, which inside has another unit than in the file."""
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Without titles, which would only repeat the keys."""
        return False


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a plan.

    >>> json_schema()["title"]
    'greenrota plan'
    """
    made = PlanTable.model_json_schema(by_alias=True, schema_generator=_Schema)
    return {"$schema": DIALECT, **made, "title": "greenrota plan"}


def json_schema_text() -> str:
    """The schema as it stands in `docs/plan.schema.json`."""
    return json.dumps(json_schema(), indent=1, ensure_ascii=False) + "\n"
