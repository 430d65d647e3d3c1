"""Giants: inputs that are wrong by sheer size. Each must be refused or answered within the time of any other input."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mutants import Mutant
from seeds import LOG, PLAN

_VESSEL = '[[vessel]]\nname="v{n}"\nvolume="5 L"\nfill="4 L"\nphotoperiod="14 h"\nnutrient="f2"\n'
_CHECK = ("check", "PLAN")


def _plan(text: str, *arguments: str) -> Mutant:
    return Mutant(text.encode(), None, arguments or _CHECK, "giant plan")


def _log(text: str, *arguments: str) -> Mutant:
    return Mutant(PLAN.encode(), text.encode(), arguments or _CHECK, "giant logbook")


def _vessels(count: int) -> str:
    return PLAN + "".join(_VESSEL.format(n=n) for n in range(count))


GIANTS: Mapping[str, Callable[[], Mutant]] = {
    "ten thousand vessels": lambda: _plan(_vessels(10_000)),
    "a thousand wrong vessels": lambda: _plan(_vessels(1000).replace('"4 L"', '"40 L"')),
    "a plan of a million lines": lambda: _plan(PLAN + "\n" * 1_000_000),
    "a plan of one line": lambda: _plan(PLAN + "# " + "x" * 900_000),
    "deep lists": lambda: _plan(PLAN + "x = " + "[" * 100_000),
    "deep tables": lambda: _plan(PLAN + "x = " + "{a=" * 50_000),
    "a key of many parts": lambda: _plan(PLAN + "a." * 200_000 + "a = 1"),
    "many unknown keys": lambda: _plan(PLAN + "".join(f"k{n} = 1\n" for n in range(5_000))),
    "many days away": lambda: _plan(PLAN + "[[away]]\nfrom=2027-02-02\nto=2199-12-31\n" * 3000),
    "a long name": lambda: _plan(PLAN.replace("north", "n" * 200_000)),
    "a number of many digits": lambda: _plan(PLAN.replace("days = 12", "days = " + "9" * 500_000)),
    "a logbook of a million empty lines": lambda: _log(LOG + "\n" * 1_000_000),
    "a logbook of many remarks": lambda: _log(LOG + "# remark\n" * 200_000),
    "a logbook of one line": lambda: _log(LOG + "x" * 5_000_000),
    "many damaged lines": lambda: _log(LOG + "2027-02-0 fed north\n" * 5_000),
    "many entries of one day": lambda: _log(
        LOG + "".join(f"2027-02-08 counted south density=1e5/mL n={n}\n" for n in range(16, 5_016))
    ),
    "many entries of a vessel that is not there": lambda: _log(
        LOG + "".join(f"2027-02-08 fed nrth n={n}\n" for n in range(16, 5_016))
    ),
    "many voids of voids": lambda: _log(
        LOG + "".join(f"2027-02-08 void - entry={n - 1} n={n}\n" for n in range(16, 5_016))
    ),
    "many gaps": lambda: _log(
        LOG + "".join(f"2027-02-08 note - text=x n={n}\n" for n in range(20, 10_000, 2))
    ),
    "an endless quote": lambda: _log(LOG + '2027-02-08 note - text="' + "\\u0041" * 200_000),
    "a log line that backtracks": lambda: _log(LOG + "2027-02-08 note - text=" + "a=" * 100_000 + "\n"),
    "a note of a megabyte": lambda: Mutant(
        PLAN.encode(), LOG.encode(), ("log", "note", "PLAN", "--text", "x" * 100_000), "giant word"
    ),
    "many vessels named": lambda: Mutant(
        PLAN.encode(), LOG.encode(), ("log", "fed", *["north"] * 5_000, "PLAN"), "giant line"
    ),
}
