"""What an entry tells of density: the figure written down, or the cells seen in large squares of a chamber."""

from __future__ import annotations

from greenrota.culture.count import seen_per_ml
from greenrota.logbook.entry import Entry


def logged_density_per_ml(entry: Entry) -> float | None:
    """Cells per mL that an entry tells; None where it tells none. A density that is written goes before the cells.

    Raises ValueError where the cells and squares of a count can not be, such as half a cell or no square.

    >>> from greenrota.logbook.entry import parse_line
    >>> logged_density_per_ml(parse_line("2027-02-05 counted north cells=61 squares=4 dilution=2"))
    305000.0
    """
    written = entry.density_per_ml("density")
    if written is not None or entry.kind != "counted":
        return written
    cells, squares, dilution = (entry.figure(key) for key in ("cells", "squares", "dilution"))
    if cells is None or squares is None:
        return None
    return seen_per_ml(cells, squares, 1.0 if dilution is None else dilution)
