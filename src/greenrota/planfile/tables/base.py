"""The base of all tables of a plan."""

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """Unknown keys are refused, values are not converted between types, and a table that was read does not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
