"""Growth series in print, as day (or hour) and count: the data of several tests.

Every series says where it is from. Units are those of the source; a fit of rate and ceiling does not mind.
"""

from __future__ import annotations

from typing import NamedTuple


class Series(NamedTuple):
    """Times and counts of one culture. `levels_off` says that the source itself shows a plateau."""

    name: str
    times: tuple[float, ...]
    counts: tuple[float, ...]
    levels_off: bool = True


def _figures(text: str) -> tuple[float, ...]:
    return tuple(float(figure) for figure in text.split())


# published: Bernhardt, Sunday & O'Connor 2018 (Am. Nat., citation from memory), Tetraselmis tetrahele, days and
# cells/mL; the authors' stored file without its repeated rows
TETRAHELE = {
    "8_1": Series(
        "T. tetrahele, 8 degC",
        _figures("0.5075 0.5102 7.3312 10.3121 12.5006 17.4950 24.4867 31.2513 34.5704 39.5814 42.2441"),
        _figures("2200 2200 4379 6290 8374 12674 20025 18543 19353 19068 19828"),
    ),
    "16_5": Series(
        "T. tetrahele, 16 degC",
        _figures(
            "0.5075 0.5376 3.4383 7.3505 10.3206 12.5074 17.5038 21.3914 24.5105 28.2621 "
            "31.2661 34.5754 39.5970 42.2626"
        ),
        _figures("2200 2200 1776 9935 18241 17947 19439 14730 17752 18947 17488 18257 16816 15299"),
    ),
}

# published: Carlson 1913 as printed by Pearl 1927 (Q. Rev. Biol. 2: 532-548), hours and amount
YEAST = Series(
    "yeast",
    tuple(float(hour) for hour in range(19)),
    _figures(
        "9.6 18.3 29.0 47.2 71.1 119.1 174.6 257.3 350.7 441.0 513.3 559.7 594.8 629.4 640.8 651.1 655.9 659.6 661.8"
    ),
)

# published: NIST StRD, nonlinear regression, Rat42 (Ratkowsky 1983, pasture yield)
RAT42 = Series(
    "pasture",
    _figures("9 14 21 28 42 57 63 70 79"),
    _figures("8.93 10.80 18.59 22.33 39.35 56.11 61.73 64.62 67.08"),
)

# published: Gause 1934, Appendix Table 3, Paramecium, days and individuals
_GAUSE_DAYS = (0.0, *(float(day) for day in range(2, 26)))
GAUSE = (
    Series(
        "P. aurelia",
        _GAUSE_DAYS,
        _figures(
            "2 14 34 56 94 189 266 330 416 507 580 610 513 593 557 560 522 565 517 500 585 500 495 525 510"
        ),
    ),
    Series(
        "P. caudatum",
        _GAUSE_DAYS,
        _figures(
            "2 10 10 11 21 56 104 137 165 194 217 199 201 182 192 179 190 206 209 196 195 234 210 210 180"
        ),
    ),
)

# published: Garrido Perez 2001 (unpublished manuscript), in the example files of the add-my-pet collection
# (alga/mydata_cnplim.m, mydata_climit.m): Nannochloropsis gaditana and Isochrysis aff. galbana, days and optical
# density
_GADITANA_DAYS = tuple(hour / 24.0 for hour in (0, 24, 48, 72, 96, 120, 168, 216, 264))
GADITANA = {  # by (nitrate mmol/L, phosphate mmol/L)
    (24.724, 1.985): Series(
        "N. gaditana, rich",
        _GADITANA_DAYS,
        _figures(".229 .291 .425 .611 .754 .894 1.004 1.140 1.242"),
        False,
    ),
    (24.724, 0.074): Series(
        "N. gaditana, poor in phosphate",
        _GADITANA_DAYS,
        _figures(".229 .286 .423 .563 .696 .806 .889 1.035 1.151"),
        False,
    ),
    (2.747, 0.221): Series(
        "N. gaditana, middle", _GADITANA_DAYS, _figures(".227 .293 .434 .569 .671 .734 .780 .889 .977"), False
    ),
    (0.916, 1.985): Series(
        "N. gaditana, nitrate of f/2",
        _GADITANA_DAYS,
        _figures(".226 .284 .405 .459 .513 .587 .646 .738 .798"),
        False,
    ),
    (0.916, 0.074): Series(
        "N. gaditana, as f/2", _GADITANA_DAYS, _figures(".227 .285 .399 .451 .494 .556 .609 .694 .753"), False
    ),
    (0.034, 0.003): Series(
        "N. gaditana, poor", _GADITANA_DAYS, _figures(".222 .267 .320 .373 .406 .432 .453 .492 .508")
    ),
}
ISOCHRYSIS = Series(
    "I. aff. galbana", (0.0, 1.0, 2.0, 3.0, 4.0), _figures(".285 .318 .461 .634 .807"), levels_off=False
)

# published: Liefer et al., data file of a public repository (ode-parameter-estimation): Thalassiosira in medium without
# nitrogen, days and cells/mL, three cultures; the counts before the dilution into it are left out
LIEFER = (
    *(
        Series(f"T. pseudonana {name}", (1.0, 2.0, 3.0, 5.0, 7.0, 10.0), _figures(counts))
        for name, counts in (
            ("A", "126367 218450 290062 352467 364933 316200"),
            ("B", "110783 238000 318750 313367 307133 258900"),
            ("C", "110500 243667 314288 375700 333200 312030"),
        )
    ),
    *(
        Series(f"T. weissflogii {name}", (2.0, 3.0, 6.0, 7.0, 11.0, 16.0), _figures(counts))
        for name, counts in (
            ("A", "15020 24531 38398 38473 37995 40386"),
            ("B", "14306 23103 35640 36465 35764 39844"),
            ("C", "13286 23919 35407 37007 39079 39971"),
        )
    ),
)

ALL = (*TETRAHELE.values(), YEAST, RAT42, *GAUSE, *GADITANA.values(), ISOCHRYSIS, *LIEFER)
