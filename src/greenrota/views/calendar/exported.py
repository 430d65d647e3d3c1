"""The record of earlier calendar exports, as JSON text kept beside the logbook."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any

from greenrota.views.calendar.appointment import Appointment

FORMAT = "greenrota/calendar/1"


def exported_text(appointments: Iterable[Appointment]) -> str:
    """The appointments as one JSON object, a line each, a newline at the end."""
    lines = ",\n".join(json.dumps(_item(each), ensure_ascii=False) for each in appointments)
    return f'{{"format": "{FORMAT}", "items": [\n{lines}\n]}}\n'


def _item(each: Appointment) -> dict[str, object]:
    return {
        "uid": each.uid,
        "date": each.on.isoformat(),
        "hour_h": each.hour_h,
        "alarm": each.alarm,
        "summary": each.summary,
        "told": each.description,
        "sequence": each.sequence,
        "stamp": each.stamp.astimezone(UTC).isoformat(),
        "withdrawn": each.withdrawn,
    }


def read_exported(text: str) -> dict[str, Appointment]:
    """The appointments by uid; undoes `exported_text`. ValueError says what is wrong with the text."""
    try:
        document = json.loads(text)
        if document["format"] != FORMAT:
            raise ValueError(f"format {document['format']!r} is not {FORMAT!r}")
        return {item["uid"]: _appointment(item) for item in document["items"]}
    except (KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ValueError(f"it is not laid out as {FORMAT}: {error!r}") from None


def _appointment(item: dict[str, Any]) -> Appointment:
    stamp = datetime.fromisoformat(item["stamp"])
    texts = (item["uid"], item["alarm"], item["summary"], item["told"])
    if stamp.tzinfo is None or not all(isinstance(text, str) for text in texts):
        raise ValueError("a stamp has no time zone, or a text is none")
    return Appointment(
        uid=item["uid"],
        on=date.fromisoformat(item["date"]),
        hour_h=None if item["hour_h"] is None else float(item["hour_h"]),
        alarm=item["alarm"],
        summary=item["summary"],
        description=item["told"],
        sequence=int(item["sequence"]),
        stamp=stamp,
        withdrawn=bool(item["withdrawn"]),
    )
