"""Media against published molarities, molar masses against atomic weights."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from greenrota.culture.data.medium import (
    Compound,
    Medium,
    ion_mg_per_l,
    ion_umol_per_l,
    media,
    own_medium,
)
from greenrota.culture.data.strain import STATUSES

# IUPAC abridged standard atomic weights (2021), published
WEIGHTS = {
    "H": 1.0080, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Si": 28.085, "P": 30.974,
    "S": 32.06, "Cl": 35.45, "K": 39.098, "V": 50.942, "Cr": 51.996, "Mn": 54.938, "Fe": 55.845, "Co": 58.933,
    "Ni": 58.693, "Cu": 63.546, "Zn": 65.38, "Se": 78.971, "Mo": 95.95,
}  # fmt: skip


def atoms(formula: str) -> Counter[str]:
    """Atoms of a formula such as (NH4)6Mo7O24.4H2O."""
    total: Counter[str] = Counter()
    for part in formula.split("."):
        times, rest = re.fullmatch(r"(\d*)(.+)", part).groups()
        for group, group_n, element, n in re.findall(r"\(([^)]+)\)(\d*)|([A-Z][a-z]?)(\d*)", rest):
            inner = atoms(group) if group else Counter({element: 1})
            factor = int(group_n or n or 1) * int(times or 1)
            for key, count in inner.items():
                total[key] += count * factor
    return total


def weighed(name: str) -> Medium:
    return media()[name]


def by_name(medium: Medium) -> dict[str, Compound]:
    return {compound.name: compound for compound in medium.compounds}


SALTS = {c.name: c for medium in media().values() for c in medium.compounds}


@pytest.mark.parametrize("salt", SALTS.values(), ids=SALTS.keys())
def test_molar_mass_is_the_sum_over_the_formula(salt: Compound) -> None:
    # derived by hand from published weights; five-figure weights round to 1e-4 of a molar mass
    reckoned = sum(WEIGHTS[element] * n for element, n in atoms(salt.formula).items())
    assert salt.molar_mass == pytest.approx(reckoned, rel=1e-4)


def test_a_salt_that_delivers_has_the_atom_once() -> None:
    symbols = {"nitrogen": "N", "phosphorus": "P", "silicon": "Si"}
    delivering = {salt.name for salt in SALTS.values() if salt.delivers}
    assert delivering == {
        "sodium nitrate", "sodium dihydrogen phosphate monohydrate",
        "sodium dihydrogen phosphate dihydrate", "sodium metasilicate nonahydrate",
    }  # fmt: skip
    assert all(atoms(SALTS[name].formula)[symbols[SALTS[name].delivers]] == 1 for name in delivering)


def test_f2_brings_the_published_molarities() -> None:
    # published: nitrate 882 and silicate 106 umol/L of f/2, a Chaetoceros simplex study; printed to the unit
    f2 = weighed("f/2")
    assert f2.nitrogen_umol_l == pytest.approx(882.0, abs=0.5)
    assert f2.silicon_umol_l == pytest.approx(106.0, abs=0.5)
    # published: phosphate 3.62e-5 M in the 5 mg/L of L1, Guillard & Hargraves (1993); three figures printed
    assert f2.phosphorus_umol_l == pytest.approx(36.2, abs=0.05)


def test_f2_in_mg_per_l_of_the_ions() -> None:
    # published: nitrate 54.7 and phosphate 3.46 mg/L "calculated from recipe", Biotechnol. Biofuels (2016)
    # 10.1186/s13068-016-0649-0 Table 6; our phosphate is 0.5 % lower, the paper's molar masses are not told
    f2 = weighed("f/2")
    assert ion_mg_per_l("nitrate", f2.nitrogen_umol_l) == pytest.approx(54.7, abs=0.05)
    assert ion_mg_per_l("phosphate", f2.phosphorus_umol_l) == pytest.approx(3.46, rel=0.006)
    # derived by hand: 75 mg x 62.005 / 84.995
    assert ion_mg_per_l("nitrate", f2.nitrogen_umol_l) == pytest.approx(75.0 * 62.005 / 84.995, rel=1e-9)
    assert ion_mg_per_l("nitrate", f2.nitrogen_umol_l) == pytest.approx(54.71, abs=0.005)


def test_f2_nitrogen_to_phosphorus() -> None:
    # derived by hand: (75 / 84.995) / (5 / 137.992)
    n_to_p = weighed("f/2").nitrogen_umol_l / weighed("f/2").phosphorus_umol_l
    assert n_to_p == pytest.approx(75.0 * 137.992 / (84.995 * 5.0), rel=1e-9)
    assert n_to_p == pytest.approx(24.35, abs=0.005)


def test_f2_iron_and_chelator_are_equal_in_moles() -> None:
    # published: both 1.17e-5 M, Guillard & Hargraves (1993)
    salts = by_name(weighed("f/2"))
    assert salts["iron(III) chloride hexahydrate"].final_umol_per_l == pytest.approx(11.7, abs=0.05)
    assert salts["disodium EDTA dihydrate"].final_umol_per_l == pytest.approx(11.7, abs=0.05)


def test_f2_without_silicate_is_f2_less_one_salt() -> None:
    plain, bare = weighed("f/2"), weighed("f/2-Si")
    assert bare.silicon_umol_l == 0.0
    assert (bare.nitrogen_umol_l, bare.phosphorus_umol_l) == (plain.nitrogen_umol_l, plain.phosphorus_umol_l)
    assert set(plain.compounds) - set(bare.compounds) == {by_name(plain)["sodium metasilicate nonahydrate"]}


L1_PRINTED_UMOL_L = {  # published: molarities as printed, Guillard & Hargraves (1993)
    "sodium nitrate": 882.0,
    "sodium dihydrogen phosphate monohydrate": 36.2,
    "sodium metasilicate nonahydrate": 106.0,
    "disodium EDTA dihydrate": 11.7,
    "iron(III) chloride hexahydrate": 11.7,
    "manganese chloride tetrahydrate": 0.900,
    "zinc sulphate heptahydrate": 0.0800,
    "cobalt chloride hexahydrate": 0.0500,
    "copper sulphate pentahydrate": 0.0100,
    "sodium molybdate dihydrate": 0.0822,
    "selenious acid": 0.0100,
    "nickel sulphate hexahydrate": 0.0100,
    "sodium orthovanadate": 0.0100,
    "potassium chromate": 0.0100,
    "thiamine hydrochloride": 0.296,
    "biotin": 2.05e-3,
    "cyanocobalamin": 3.69e-4,
}


def test_l1_has_the_printed_molarities() -> None:
    salts = by_name(weighed("L1"))
    assert salts.keys() == L1_PRINTED_UMOL_L.keys()
    for name, printed in L1_PRINTED_UMOL_L.items():
        # three figures are printed; silicate 105.56 is printed as 106, 0.42 %
        assert salts[name].final_umol_per_l == pytest.approx(printed, rel=5e-3), name


def test_walne_from_its_stocks() -> None:
    # derived by hand: 100 mg NaNO3 and 20 mg NaH2PO4.2H2O per litre
    walne = weighed("Walne")
    assert walne.nitrogen_umol_l == pytest.approx(100e3 / 84.995, rel=1e-9)
    assert walne.phosphorus_umol_l == pytest.approx(20e3 / 156.008, rel=1e-9)
    assert walne.silicon_umol_l == 0.0
    assert ion_mg_per_l("phosphate", walne.phosphorus_umol_l) == pytest.approx(12.175, abs=5e-4)
    assert walne.nitrogen_umol_l / walne.phosphorus_umol_l == pytest.approx(9.18, abs=0.005)
    # derived by hand: grams of the sheet over the molar mass, four figures
    by_hand_umol_l = {
        "disodium EDTA dihydrate": 120.9,
        "boric acid": 543.4,
        "iron(III) chloride hexahydrate": 4.810,
        "manganese chloride tetrahydrate": 1.819,
        "zinc chloride": 0.1541,
        "cobalt chloride hexahydrate": 0.08406,
        "ammonium molybdate tetrahydrate": 0.007282,
        "copper sulphate pentahydrate": 0.08010,
        "thiamine hydrochloride": 0.5930,
        "cyanocobalamin": 0.007378,
    }
    salts = by_name(walne)
    for name, umol_l in by_hand_umol_l.items():
        assert salts[name].final_umol_per_l == pytest.approx(umol_l, rel=5e-4), name


def test_every_figure_says_where_it_comes_from() -> None:
    for medium in media().values():
        assert medium.source
        assert medium.status in STATUSES
        for compound in medium.compounds:
            assert compound.source, (medium.name, compound.name)
            assert compound.status in STATUSES, (medium.name, compound.name)


def test_own_medium_from_a_label_in_mg_per_l() -> None:
    # derived by hand: 54.714 mg/L NO3 / 62.005 and 3.4412 mg/L PO4 / 94.971
    own = own_medium("mine", ion_umol_per_l("nitrate", 54.714), ion_umol_per_l("phosphate", 3.4412))
    assert own.nitrogen_umol_l == pytest.approx(weighed("f/2").nitrogen_umol_l, rel=1e-4)
    assert own.phosphorus_umol_l == pytest.approx(weighed("f/2").phosphorus_umol_l, rel=1e-4)
    assert (own.silicon_umol_l, own.title, own.compounds) == (0.0, "mine", ())


@pytest.mark.parametrize(
    "figures", [(-1.0, 30.0, 0.0), (600.0, -1.0, 0.0), (600.0, 30.0, -1.0), (0.0, 0.0, 9.0)]
)
def test_own_medium_refuses_what_feeds_nothing(figures: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="mine"):
        own_medium("mine", *figures)


@pytest.mark.parametrize("ion", ["nitrate", "phosphate", "silicate"])
def test_ion_conversions_undo_each_other(ion: str) -> None:
    assert ion_mg_per_l(ion, ion_umol_per_l(ion, 12.5)) == pytest.approx(12.5, rel=1e-12)


def test_silicate_is_weighed_as_silica() -> None:
    # derived by hand: 105.56 umol/L x 60.084 = 6.342 mg/L SiO2
    assert ion_mg_per_l("silicate", weighed("f/2").silicon_umol_l) == pytest.approx(6.342, abs=5e-4)
