"""The JSON Schema of a plan, so that editors complete and check one while it is written.

`docs/plan.schema.json` holds `json_schema_text()`; a test tells when it is out of date and how to renew it.
The schema knows tables, keys, units and the bounds of bare numbers. Only `greenrota check` compares quantities with
their bounds and keys with each other.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from greenrota.planfile.tables.schema import PlanTable

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Schema(GenerateJsonSchema):
    def default_schema(self, schema: Any) -> dict[str, Any]:
        """Leave defaults out: they are numbers here and texts with a unit in the file."""
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Leave titles out: they would only repeat the keys."""
        return False


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a plan.

    >>> json_schema()["title"]
    'greenrota plan'
    """
    made = PlanTable.model_json_schema(by_alias=True, schema_generator=_Schema)
    return {"$schema": DIALECT, **made, "title": "greenrota plan"}


def json_schema_text() -> str:
    """The JSON Schema as text, as it is kept in `docs/plan.schema.json`."""
    return json.dumps(json_schema(), indent=1, ensure_ascii=False) + "\n"
