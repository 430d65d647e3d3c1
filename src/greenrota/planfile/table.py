"""What all tables of a plan have in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A table that knows all its keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
