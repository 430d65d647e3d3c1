"""Risk as one JSON object."""

from __future__ import annotations

from greenrota.risk.outcome import Estimate
from greenrota.views.risk.risk import PlanRisk, RiskReport
from greenrota.views.text.document import json_document

FORMAT = "greenrota/risk/1"


def risk_json(report: RiskReport) -> str:
    """All of it as one JSON object; chances 0..1, with `_low` and `_high` for the ends of the 95 % interval."""
    plan, compared = report.plan, report.compared
    answer: dict[str, object] = {"seed": plan.seed, **_json_of(plan)}
    if compared is not None:
        change = compared.change
        answer["against"] = {
            **_json_of(compared.plan),
            **_spread("p_strain_lost_change", change.lost),
            **_spread("p_short_change", change.short),
            **_spread("mean_short_days_change", change.short_days),
        }
    answer["logged_rates"] = [
        {
            "cause": rate.cause,
            "events": rate.events,
            "exposure_days": rate.exposure_days,
            **_spread("per_day", Estimate(rate.per_day, rate.low_per_day, rate.high_per_day)),
        }
        for rate in report.rates
    ]
    return json_document(FORMAT, answer)


def _json_of(plan: PlanRisk) -> dict[str, object]:
    found = plan.outcome
    return {
        "name": plan.name,
        "seasons": found.seasons,
        "days": found.days,
        "vessels": plan.vessels,
        "counted_from": None if plan.counted_from is None else plan.counted_from.isoformat(),
        "feeding_days": found.feeding_days,
        "planned_short_days": plan.planned_short_days,
        **_spread("p_strain_lost", found.lost),
        **_spread("p_short", found.short),
        **_spread("mean_short_days", found.short_days),
        **_spread("p90_short_days", found.short_days_p90),
        "p_strain_lost_by_strain": {name: _plain(share) for name, share in found.lost_by_strain.items()},
        "mean_vessels_lost_by_cause": {name: _plain(share) for name, share in found.losses.items()},
        "strain_lost_by_cause": {name: _plain(share) for name, share in found.lost_by.items()},
        "dominant_cause": found.dominant,
        "seasons_by_short_days": list(found.histogram),
        "simulated_vessel_days_per_s": round(plan.vessel_days_per_s),
    }


def _plain(found: Estimate) -> dict[str, float | None]:
    return dict(zip(("value", "low", "high"), _spread("x", found).values(), strict=True))


def _spread(key: str, found: Estimate) -> dict[str, float | None]:
    """A figure and its ends; None for an end that one season can not tell."""
    return {
        key: found.value,
        f"{key}_low": None if abs(found.low) == float("inf") else found.low,
        f"{key}_high": None if abs(found.high) == float("inf") else found.high,
    }
