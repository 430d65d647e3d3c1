"""Which batch came from which, as a tree and as JSON, with what a contamination would reach."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.answers.pedigree import ALIVE, CRASHED, FRIDGE, GONE, PLANNED, Member, Pedigree
from greenrota.views.feed.withheld import withheld_lines
from greenrota.views.text.day import day_text
from greenrota.views.text.document import json_document
from greenrota.views.text.lettering import display_width, hanging, pad, printable

FORMAT = "greenrota/lineage/1"
_WORDS = {ALIVE: "ALIVE", FRIDGE: "IN FRIDGE", CRASHED: "CRASHED", GONE: "gone", PLANNED: "planned"}
_LINES = ("├─ ", "└─ ", "│  ", "   ")
_PLAIN_LINES = ("|- ", "`- ", "|  ", "   ")  # for an output that can not carry box lines


def lineage_page(found: Pedigree, width: int | None = None, ascii_only: bool = False) -> str:
    """The tree, one line a batch or bottle, and below it what an outbreak would touch; no newline at the end.

    A re-seed goes on at the level of the batch it was re-seeded from, so that a long-lived vessel stays within the
    screen; everything else stands one step in below its parent. `width` wraps, None does not.
    """
    rows: list[tuple[str, Member]] = []
    for root in [heir for first in _roots(found) for heir in _line_of(found, first)]:
        _grow(found, root, "", "", _PLAIN_LINES if ascii_only else _LINES, rows)
    leads = [f"{lead}{printable(member.link.child)}" for lead, member in rows]
    room = max((display_width(lead) for lead in leads), default=0)
    lines = hanging("", f"{printable(found.name)}: lineage as of {day_text(found.as_of)}", width, 2)
    for lead, (_, member) in zip(leads, rows, strict=True):
        lines += hanging(f"{pad(lead, room)}  ", _text(found, member), width)
    if apart := withheld_lines(found.bottles, "metric", width):
        lines += ["", *apart]
    if found.outbreak is not None:
        lines += ["", *_outbreak(found, width)]
    return "\n".join(lines)


def _roots(found: Pedigree) -> list[Member]:
    own = [each for each in found.members.values() if each.link.parent not in found.members]
    return sorted(own, key=lambda each: (each.link.on, each.link.child))


def _children(found: Pedigree, parent: Member) -> tuple[Member | None, list[Member]]:
    """The children of a batch: its re-seed in the same vessel first, then the others."""
    children = [each for each in found.members.values() if each.link.parent == parent.link.child]
    children.sort(key=lambda each: (each.link.on, each.vessel is not None, each.link.child))
    same = [each for each in children if each.vessel is not None and each.vessel == parent.vessel]
    heir = same[0] if same else None
    return heir, [each for each in children if each is not heir]


def _grow(
    found: Pedigree,
    member: Member,
    lead: str,
    below: str,
    lines: Sequence[str],
    rows: list[tuple[str, Member]],
) -> None:
    """One member and what comes from it; `lead` stands before it, `below` before its children."""
    rows.append((lead, member))
    _, others = _children(found, member)
    brood = [heir for other in others for heir in _line_of(found, other)]
    for index, each in enumerate(brood):
        last = index == len(brood) - 1
        fork, through = (lines[1], lines[3]) if last else (lines[0], lines[2])
        _grow(found, each, below + fork, below + through, lines, rows)


def _line_of(found: Pedigree, first: Member) -> list[Member]:
    """A batch and the re-seeds that follow it in its vessel."""
    line = [first]
    while (heir := _children(found, line[-1])[0]) is not None:
        line.append(heir)
    return line


def _text(found: Pedigree, member: Member) -> str:
    link = member.link
    verb = "filled" if member.vessel is None else "started"
    origin = f"on hand {link.on}"
    if link.parent is not None:
        origin = f"{verb} {link.on} from {printable(link.parent)}"
    text = f"{_WORDS[member.state]}  {origin}"
    if member.cause is not None:
        text += f", crashed {member.ended} ({member.cause})"
    if member.suspicion is not None:
        text += f"; SUSPECT since {member.suspicion.since}: {printable(member.suspicion.because)}"
    if found.touched is not None and link.child in found.touched:
        text += "; would be touched"
    return text


def _outbreak(found: Pedigree, width: int | None) -> list[str]:
    assert found.outbreak is not None  # asked for
    name, since = found.outbreak
    touched = found.touched or {}
    title = f"A contamination in {printable(name)} since {day_text(since)} would touch {len(touched)}:"
    lines = hanging("", title, width, 2)
    for child, why in touched.items():
        state = _WORDS[found.members[child].state] if child in found.members else "BOTTLE"
        text = f"{state}, since {why.since}: {printable(why.because)}"
        lines += hanging(f"  {printable(child)}  ", text, width)
    safe = [
        name
        for name, each in found.members.items()
        if each.state in (ALIVE, FRIDGE) and name not in touched and each.suspicion is None
    ]
    what = f"Alive and untouched: {', '.join(map(printable, safe)) or 'nothing; get a new starter'}"
    return [*lines, *hanging("", what, width, 2)]


def lineage_json(found: Pedigree) -> str:
    """The lineage as one JSON object of format `greenrota/lineage/1`; `touched` where an outbreak is asked about."""
    answer: dict[str, object] = {
        "as_of": found.as_of.isoformat(),
        "members": [_member(each) for each in found.members.values()],
        "do_not_give": [
            record.bottle.id for record in found.bottles if record.withheld and not record.planned
        ],
    }
    if found.outbreak is not None:
        answer["from"], answer["since"] = found.outbreak[0], found.outbreak[1].isoformat()
        answer["touched"] = [
            {"id": name, "since": why.since.isoformat(), "because": why.because}
            for name, why in (found.touched or {}).items()
        ]
    return json_document(FORMAT, answer)


def _member(member: Member) -> dict[str, object]:
    why = member.suspicion
    return {
        "id": member.link.child,
        "parent": member.link.parent,
        "date": member.link.on.isoformat(),
        "strain": member.link.strain,
        "vessel": member.vessel,
        "state": member.state,
        "crash": None
        if member.cause is None or member.ended is None
        else {"date": member.ended.isoformat(), "cause": member.cause},
        "suspect": None if why is None else {"since": why.since.isoformat(), "because": why.because},
    }
