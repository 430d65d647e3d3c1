"""Elsewhere: vessels that the logbook knows and the plan does not, and what still lives in them.

Their entries are kept and move nothing on the shelf; but a living culture must not be forgotten over a line that was
taken out of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import KINDS
from greenrota.rota.state.state import batch_id
from greenrota.rota.warnings.warning import PlanWarning


@dataclass(slots=True)
class GoneVessels:
    """`numbers` is the last batch number of each such vessel, `living` the batch that stands in it."""

    numbers: dict[str, int] = field(default_factory=dict)
    living: dict[str, str] = field(default_factory=dict)

    def take(self, entry: Entry) -> bool:
        """Follow one entry; True if the vessel is met for the first time."""
        name = self.vessel(entry.subject) or entry.subject
        first = name not in self.numbers
        number = self.numbers.setdefault(name, 0)
        if entry.kind == "started" or (entry.kind == "reseeded" and name in self.living):
            self.numbers[name] = number + 1
            self.living[name] = batch_id(name, number + 1)
        elif KINDS[entry.kind].ends:
            self.living.pop(name, None)
        return first

    def vessel(self, subject: str) -> str | None:
        """The vessel that is meant by its own name or by that of the batch in it; None if it is not known here."""
        if subject in self.numbers:
            return subject
        return next((name for name, batch in self.living.items() if batch == subject), None)


def gone_warnings(gone_vessels: GoneVessels) -> list[PlanWarning]:
    """A warning for every living batch in a vessel that is not in the plan."""
    return [
        PlanWarning(
            "vessel-gone",
            f"{name}: no longer in the plan; its living batch {batch} is left out: "
            "put the vessel back, or pour it away and log it as discarded",
            name,
        )
        for name, batch in gone_vessels.living.items()
    ]
