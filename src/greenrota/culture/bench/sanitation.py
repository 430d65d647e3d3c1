"""Bleach and thiosulphate by weight of available chlorine, and the cautions of the culture room."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

CHLORINE_PER_HYPOCHLORITE = 0.9525  # g available Cl2 per g NaOCl: molar masses 70.906 / 74.442
BLEACH_MAX_PERCENT = 15.0  # our choice: nothing sold as bleach is stronger; a larger figure is a slip
THIOSULPHATE_CEILING = 7.0  # g pentahydrate per g Cl2: 2 S2O3 to 1 Cl2, 2 x 248.18 / 70.906, derived by hand
THIOSULPHATE_PRACTICE_LOW = 3.0  # g per g Cl2: prawn-hatchery handbook practice, seen in a copy
THIOSULPHATE_PRACTICE_HIGH = 5.0  # g per g Cl2: sample bottles, Standard Methods 23rd ed., seen in a copy


class Thiosulphate(NamedTuple):
    """Grams of sodium thiosulphate pentahydrate: the most the reaction can use, and the usual range in practice."""

    ceiling_g: float
    practice_low_g: float
    practice_high_g: float


class Caution(NamedTuple):
    """A short warning for the bench. Labels, local codes and licensed trades come before it.

    `status` is that of its weakest part: "published" (seen in the source), "copy" (seen in a reproduction),
    "common practice", "from memory" or "our choice"; the sentence that defers to others does not count.
    """

    key: str
    text: str
    source: str
    status: str


def bleach_ml(volume_l: float, chlorine_mg_per_l: float, hypochlorite_percent: float) -> float:
    """Millilitres of bleach in a finished volume of water for so much available chlorine.

    `volume_l` with the bleach in it, L; `chlorine_mg_per_l` as Cl2; `hypochlorite_percent` is sodium
    hypochlorite, weight by volume (5 means 50 g/L), above 0 and up to 15. Holds for fresh bleach: it weakens
    with age. ValueError names a value outside, or a target stronger than the bleach.
    Source: C1 V1 = C2 V2, 0.9525 g Cl2 per g NaOCl.

    >>> round(bleach_ml(4.0, 200.0, 5.25), 1)
    16.0
    """
    _check_water(volume_l, chlorine_mg_per_l)
    if not 0.0 < hypochlorite_percent <= BLEACH_MAX_PERCENT:
        raise ValueError(f"bleach of {hypochlorite_percent} % is outside 0..{BLEACH_MAX_PERCENT:g} %")
    chlorine_mg_per_ml = 10.0 * hypochlorite_percent * CHLORINE_PER_HYPOCHLORITE
    if chlorine_mg_per_l > 1000.0 * chlorine_mg_per_ml:
        raise ValueError(f"{chlorine_mg_per_l} mg/L is more than bleach of {hypochlorite_percent} % holds")
    return volume_l * chlorine_mg_per_l / chlorine_mg_per_ml


def thiosulphate(volume_l: float, chlorine_mg_per_l: float) -> Thiosulphate:
    """Grams of sodium thiosulphate pentahydrate that take available chlorine out of a volume of water.

    A planning figure: what is used up depends on pH and excess. A chlorine test decides.
    `volume_l` L, `chlorine_mg_per_l` mg/L as Cl2 (what is left, or what was given).
    ValueError names a value outside.
    Source: stoichiometry (2 S2O3 to 1 Cl2) for the ceiling of 7 g/g; practice 3..5 g/g, seen in copies.

    >>> round(thiosulphate(4.0, 25.0).ceiling_g, 2)
    0.7
    """
    _check_water(volume_l, chlorine_mg_per_l)
    chlorine_g = volume_l * chlorine_mg_per_l / 1000.0
    return Thiosulphate(
        ceiling_g=THIOSULPHATE_CEILING * chlorine_g,
        practice_low_g=THIOSULPHATE_PRACTICE_LOW * chlorine_g,
        practice_high_g=THIOSULPHATE_PRACTICE_HIGH * chlorine_g,
    )


def _check_water(volume_l: float, chlorine_mg_per_l: float) -> None:
    if not 0.0 < volume_l < float("inf"):
        raise ValueError(f"volume {volume_l} L is not above zero")
    if not 0.0 <= chlorine_mg_per_l < float("inf"):
        raise ValueError(f"chlorine of {chlorine_mg_per_l} mg/L is not zero or more")


_POISON_ADVICE = (
    "University of Maryland Emergency Medicine, em.umaryland.edu/educational_pearls/5002; "
    "Indiana Department of Environmental Management, in.gov/idem/recycle/2391.htm"
)
_TEXTS = (
    Caution(
        "bleach",
        "Never mix bleach with ammonia, vinegar or any other cleaner: it gives off poisonous gas. "
        "The bottle's label and local rules for disposal come first.",
        "CDC sheet CS316270A (2020); Indiana Department of Environmental Management, "
        "in.gov/idem/recycle/2391.htm; gas: accessmedicine.mhmedical.com, section 248383968",
        "published",
    ),
    Caution(
        "bleach_kind",
        "Use plain household bleach of 5 to 9 % hypochlorite: not scented, not colour-safe, not splash-less. "
        "Keep it in its own labelled bottle, away from food and children. The bottle's label comes first.",
        "kind: CDC advice on bleach for disinfection, as quoted by others; "
        f"bottle and food: {_POISON_ADVICE}; children: no source",
        "from memory",
    ),
    Caution(
        "bleach_rinse",
        "Rinse bleach out until a chlorine test reads zero before acid, vinegar or nutrient goes in.",
        "inferred: acid frees chlorine, ammonium makes chloramine; no published procedure found",
        "from memory",
    ),
    Caution(
        "chlorine_test",
        "No culture goes in before a chlorine test reads zero; thiosulphate amounts are planning figures.",
        "ratios in print run from 0.9 to 7 g per g of chlorine, so only a test can tell",
        "our choice",
    ),
    Caution(
        "mains",
        "Salt water and mains: use a supply that trips on earth leakage (RCD of 30 mA or less, or GFCI) "
        "and test it, hang a drip loop in every cord, unplug before hands go in. "
        "Local electrical codes decide; fixed wiring is work for a licensed electrician.",
        "RCD: UK HSE, GFCI: US CPSC, both seen in copies; drip loop and unplugging: "
        "families.com/aquarium-electrical-safety",
        "common practice",
    ),
    Caution(
        "evaporation",
        "Cover mixed salt water and mark its level: water evaporates, the salt stays. Before it is used, top it up "
        "with fresh water to the mark, or check its salinity.",
        "topping up with fresh water: seahorse.org/library/articles/testing.shtml; cover and mark: no source",
        "common practice",
    ),
    Caution(
        "glass",
        "Lift a full jar from below with both hands, dry; retire chipped or cracked glass. "
        "Drill the plastic lid, never the glass, and wear eye protection.",
        "no source",
        "from memory",
    ),
    Caution(
        "hot_water",
        "Hot water scalds and can crack cold glass: warm the vessel by steps, let it cool before moving it. "
        "Never pour hot water onto bleach.",
        "heat on bleach: CDC, MMWR 2020, seen in a copy; the rest: no source",
        "from memory",
    ),
    Caution(
        "air_line",
        "Keep the air pump above the water or fit a check valve and test it: a stopped pump siphons back. "
        "Never seal an aerated vessel or pinch its tubing shut, pressure builds up: "
        "the lid's vent must be at least as open as the air inlet.",
        "pump and check valve: enviroliteracy.org/should-the-air-pump-be-above-or-below-the-aquarium, "
        "common practice; vent and tubing: no source",
        "from memory",
    ),
    Caution(
        "food_fridge",
        "Label every culture bottle in a food fridge with content, date and NOT FOOD; never a food or drink "
        "container, apart from food, out of children's reach.",
        f"inferred from advice on poisons: {_POISON_ADVICE}",
        "from memory",
    ),
    Caution(
        "nutrient",
        "Keep concentrates in their own labelled bottles, never in a food or drink container, away from food "
        "and children. If swallowed, call the local poison centre.",
        f"bottles and food: {_POISON_ADVICE}; children and poison centre: no source",
        "from memory",
    ),
    Caution(
        "strain_tools",
        "Several strains: tools are not shared between them. Keep a marked set of tubing, funnel and jugs for each "
        "strain; where that can not be, disinfect and rinse between strains, and never open two at once.",
        "growers' common practice; not looked up in print",
        "common practice",
    ),
)
CAUTIONS: Mapping[str, Caution] = MappingProxyType({each.key: each for each in _TEXTS})


def caution(key: str) -> Caution:
    """The caution of that key (a key of `CAUTIONS`); KeyError names an unknown one. Source: in the record.

    >>> caution("chlorine_test").status
    'our choice'
    """
    return CAUTIONS[key]
