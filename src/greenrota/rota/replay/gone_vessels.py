"""Gone vessels: those that the logbook knows and the plan does not, with the batches still alive in them.

Their entries change nothing in the state. The living batches are counted so that a warning can name them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import KINDS
from greenrota.rota.state.state import batch_id


@dataclass(slots=True)
class GoneVessels:
    """`numbers` is the last batch number of each such vessel, `living` the batch that stands in it."""

    numbers: dict[str, int] = field(default_factory=dict)
    living: dict[str, str] = field(default_factory=dict)

    def copy(self) -> GoneVessels:
        """A copy that can be changed without changing this one."""
        return GoneVessels(dict(self.numbers), dict(self.living))

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
