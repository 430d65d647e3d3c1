"""Why a bucket of salt water is mixed on its day, and for what, in one line."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, timedelta

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.state.opendays import EVE_DAYS
from greenrota.rota.state.salt_water import KEEPS_DAYS, Bucket, Fill, Mixing
from greenrota.rota.wording import numbered

_SAME_ML = 0.5  # half a millilitre: nobody measures finer; our choice


def cleaned(fill: Fill, on: date) -> bool:
    """Whether the vessel of a filling is cleaned when its water is mixed on a day: shortly before a start."""
    return fill.fresh and (fill.on - on).days <= EVE_DAYS


def of_bucket(bucket: Bucket, mixing: Mixing, whole_l: Mapping[str, float]) -> str:
    """What a bucket is for, which vessels are cleaned with it, and what made it that day and that size.

    `whole_l` is all the seawater of each task it serves, in L.
    """
    cleans = [fill.vessel for fill in bucket.fills if cleaned(fill, bucket.on)]
    what = f"clean {', '.join(cleans)} and mix" if cleans else "mix"
    served = ", ".join(_served(fill, whole_l[fill.task] * ML_PER_L) for fill in bucket.fills)
    return f"{what} the seawater for {served}{_day(bucket, mixing)}{_size(bucket, mixing)}"


def day_rule(first: Fill, on: date, work_days: Collection[date]) -> str:
    """What sets the day of a bucket whose first filling is given; `work_days` are the days with other work."""
    if on == first.on:
        return f"mixed on the day itself: no working day lies in the {EVE_DAYS} days before"
    keeps = numbered(KEEPS_DAYS, "day")
    if on in work_days:
        return f"the last day of other work before its first filling; mixed salt water is kept for {keeps}"
    return f"the last working day before its first filling: no other work lies in the {keeps} before"


def _served(fill: Fill, whole_ml: float) -> str:
    lacks = ""
    if whole_ml - fill.seawater_ml > _SAME_ML:
        lacks = f" (of {whole_ml:.0f} mL, {whole_ml - fill.seawater_ml:.0f} mL are on hand)"
    return f"{fill.vessel} on {fill.on}{lacks}"


def _day(bucket: Bucket, mixing: Mixing) -> str:
    """Why on its day, where that is not simply a day of other work before the first filling."""
    first = bucket.fills[0].on
    if bucket.on == first:
        since = max(mixing.as_of, first - timedelta(days=EVE_DAYS))
        before = numbered((first - since).days, "day")
        return (
            f"; on the day itself: no working day in the {before} before" if since < first else "; due today"
        )
    if bucket.shared_day:
        return ""
    return f"; no other work in the {numbered(KEEPS_DAYS, 'day')} before, so on the last working day"


def _size(bucket: Bucket, mixing: Mixing) -> str:
    if bucket.seawater_ml <= mixing.most_ml + _SAME_ML:
        return ""
    return f"; more than the bucket of {mixing.most_ml / ML_PER_L:g} L holds: mix it in two goes or in the vessel"
