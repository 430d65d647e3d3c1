"""Warning: one thing a person should know before trusting a rota, with a stable code."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlanWarning:
    """One warning. `vessel` is set where it concerns one vessel; the plan stays usable all the same."""

    code: str
    text: str
    vessel: str | None = None
