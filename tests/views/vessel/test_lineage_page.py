"""The tree of batches and bottles, drawn from families made by hand."""

import json
from datetime import date
from types import MappingProxyType

import pytest

from greenrota.rota.answers.pedigree import ALIVE, CRASHED, FRIDGE, GONE, Member, Pedigree
from greenrota.rota.state.lineage import Link, Suspicion
from greenrota.views.text.lettering import display_width
from greenrota.views.vessel.lineage import lineage_json, lineage_page

DAY = date(2027, 2, 20)


def member(name: str, parent: str | None, day: int, state: str, **more: object) -> Member:
    vessel = None if ":" in name else name.split("/")[0]
    return Member(Link(name, parent, date(2027, 2, day), "tetraselmis"), state, vessel, **more)  # type: ignore[arg-type]


FAMILY = (
    member("starter:bought", None, 1, FRIDGE),
    member("north/1", "starter:bought", 1, GONE),
    member("south/1", "north/1", 9, CRASHED, cause="contamination", ended=DAY,
           suspicion=Suspicion(DAY, "contaminated since 2027-02-20", DAY)),
    member("fridge:north/1", "north/1", 9, FRIDGE),
    member("north/2", "north/1", 9, ALIVE),
)  # fmt: skip
OF = MappingProxyType({each.link.child: each for each in FAMILY})
# By hand: the bottle before the vessel, what north/1 gave below it, its re-seed beside it.
TREE = """\
shelf: lineage as of Sat 2027-02-20
starter:bought        IN FRIDGE  on hand 2027-02-01
|- north/1            gone  started 2027-02-01 from starter:bought
|  |- fridge:north/1  IN FRIDGE  filled 2027-02-09 from north/1
|  `- south/1         CRASHED  started 2027-02-09 from north/1, crashed 2027-02-20 (contamination); \
SUSPECT since 2027-02-20: contaminated since 2027-02-20
`- north/2            ALIVE  started 2027-02-09 from north/1"""


def test_the_tree_in_plain_letters() -> None:
    assert lineage_page(Pedigree("shelf", DAY, OF), ascii_only=True) == TREE


def test_box_lines_where_the_output_carries_them() -> None:
    drawn = lineage_page(Pedigree("shelf", DAY, OF))
    assert drawn.translate(str.maketrans("├└│─", "|`|-")) == TREE


def test_a_long_life_does_not_run_off_the_screen() -> None:
    chain = [member("north/1", None, 1, GONE)]
    chain += [member(f"north/{n}", f"north/{n - 1}", 1 + n // 3, GONE) for n in range(2, 60)]
    family = MappingProxyType({each.link.child: each for each in chain})
    page = lineage_page(Pedigree("shelf", DAY, family), 80)
    assert all(f"north/{n} " in page for n in range(1, 60))
    assert max(map(display_width, page.splitlines())) <= 80


def test_what_an_outbreak_touches_and_what_it_does_not() -> None:
    touched = {"south/1": Suspicion(DAY, "contaminated since 2027-02-20", DAY)}
    page = lineage_page(Pedigree("shelf", DAY, OF, ("south/1", DAY), touched), ascii_only=True)
    assert "A contamination in south/1 since Sat 2027-02-20 would touch 1:" in page
    assert "Alive and untouched: starter:bought, fridge:north/1, north/2" in page


@pytest.mark.parametrize("asked", [False, True])
def test_json_names_everybody(asked: bool) -> None:
    touched = {"south/1": Suspicion(DAY, "x", DAY)} if asked else None
    answer = json.loads(
        lineage_json(Pedigree("shelf", DAY, OF, ("south/1", DAY) if asked else None, touched))
    )
    assert answer["format"] == "greenrota/lineage/1"
    assert [m["id"] for m in answer["members"]] == list(OF)
    assert ("touched" in answer) == asked
    south = answer["members"][2]
    assert south["crash"] == {"date": "2027-02-20", "cause": "contamination"}
    assert south["suspect"] == {"since": "2027-02-20", "because": "contaminated since 2027-02-20"}
