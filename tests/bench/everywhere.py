"""The program as a stranger has it: from a wheel and an sdist, on every Python, in awkward places.

`python tests/bench/everywhere.py PYTHON...` with interpreters such as python3.11; hatchling is needed in the Python
that runs this. Every installation goes into a folder with a space in its name, with the newest and with the lowest
allowed dependencies (those of `pyproject.toml`; newer where a Python is too new for one), and is then run cut off from
the network where the system can do that (`unshare -n`). Prints a table; ends with 1 if anything is wrong.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, cast

TREE = Path(__file__).parents[2]
OLDEST_NUMPY = {"3.13": "2.1.0"}  # numpy's own first release for a Python; elsewhere ours
NAME = "n\u00f6rd \u5317"
PLAN = (TREE / "examples" / "shelf.toml").read_text(encoding="utf-8").replace('"north"', f'"{NAME}"')
PLAIN = {"PATH": "/usr/bin:/bin"}
PLACES: Mapping[str, Mapping[str, str]] = {
    "UTF-8": {**PLAIN, "LC_ALL": "C.UTF-8", "HOME": "/"},
    "LC_ALL=C": {**PLAIN, "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "HOME": "/"},
    "latin-1": {**PLAIN, "PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0", "HOME": "/"},
    "no HOME": {**PLAIN, "LC_ALL": "C.UTF-8"},
}


def built(folder: Path) -> dict[str, Path]:
    """A wheel and an sdist of the tree."""
    subprocess.run([sys.executable, "-m", "hatchling", "build", "-d", str(folder)], cwd=TREE, check=True)
    return {"wheel": next(folder.glob("*.whl")), "sdist": next(folder.glob("*.tar.gz"))}


def lowest(version: str) -> list[str]:
    """The lowest allowed dependencies, as pip takes them."""
    project = tomllib.loads((TREE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = [re.sub(">=", "==", wanted) for wanted in project["dependencies"]]
    numpy = OLDEST_NUMPY.get(version)
    return [f"numpy=={numpy}" if numpy and pin.startswith("numpy") else pin for pin in pins]


def installed(python: str, package: Path, pins: list[str], folder: Path) -> Path:
    """The program, in an environment of its own."""
    subprocess.run([python, "-m", "venv", str(folder)], check=True)
    pip = [str(folder / "bin" / "python"), "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    subprocess.run([*pip, str(package), *pins], check=True, stderr=subprocess.PIPE)
    return folder / "bin" / "greenrota"


def alone() -> list[str]:
    """What cuts a program off from the network; nothing where the system has no such thing."""
    cut = ["unshare", "-n"] if shutil.which("unshare") else []
    return cut if cut and subprocess.run([*cut, "true"], capture_output=True).returncode == 0 else []


def object_in(said: bytes) -> dict[str, Any]:
    """The JSON object in what was said, in the encoding that was asked for."""
    try:
        return cast("dict[str, Any]", json.loads(said.decode("utf-8")))
    except UnicodeDecodeError:
        return cast("dict[str, Any]", json.loads(said.decode("latin-1")))


def lived(program: Path, place: Mapping[str, str], folder: Path) -> str:
    """A short life in a folder: what is wrong, or nothing."""
    folder.mkdir(parents=True)
    (folder / "plan.toml").write_text(PLAN, encoding="utf-8")

    def run(*words: str) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [*alone(), str(program), *words],
            cwd=folder,
            env=dict(place),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=120,
        )

    steps: tuple[tuple[tuple[str, ...], Callable[[bytes], bool]], ...] = (
        (("--version",), lambda said: said.startswith(b"greenrota ")),
        (("tasks", "--json"), lambda said: len(object_in(said)["tasks"]) > 10),
        (("check",), lambda said: b"the plan is sound" in said),
        (
            ("log", "done", "--through", "2027-02-03", "--on", "2027-02-03"),
            lambda said: b"recorded: " in said,
        ),
        (("today", "--on", "2027-02-04"), lambda said: bool(said.strip())),
        (("calendar", "out.ics", "--on", "2027-02-04"), lambda _: (folder / "out.ics").exists()),
        (("sheet", "out.html", "--on", "2027-02-04"), lambda _: (folder / "out.html").exists()),
        (("risk", "--seasons", "50", "--json"), lambda said: "p_strain_lost" in object_in(said)),
        (("reckon", "salt", "4 L", "26 psu"), lambda said: b"g" in said),
    )
    for words, is_right in steps:
        done = run(*words)
        if done.returncode != 0 or b"Traceback" in done.stderr or not is_right(done.stdout):
            return f"{' '.join(words)}: status {done.returncode}: {done.stderr.decode('utf-8', 'replace')[-300:]}"
    book = (folder / "plan.log").read_bytes().decode("utf-8")
    return "" if NAME in book else "the name of the vessel is not in the logbook"


def main() -> int:
    """Install and live everywhere; a row for each installation."""
    pythons = sys.argv[1:] or [sys.executable]
    wrong = 0
    with tempfile.TemporaryDirectory(prefix="every where ") as name:
        room = Path(name)
        packages = built(room / "dist")
        print("cut off from the network:", "yes" if alone() else "no, the system can not")
        print(f"{'Python':<8}{'from':<7}{'with':<8}" + "".join(f"{place:<10}" for place in PLACES))
        for number, python in enumerate(pythons):
            asked = [python, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
            version = subprocess.run(asked, check=True, capture_output=True, encoding="ascii").stdout.strip()
            for kind, pins in (("wheel", []), ("sdist", []), ("wheel", lowest(version))):
                how = "lowest" if pins else "newest"
                program = installed(python, packages[kind], pins, room / f"{number} {kind} {how}")
                told = [
                    lived(program, place, room / "my shelf" / f"{number}{kind}{how}{n}")
                    for n, place in enumerate(PLACES.values())
                ]
                wrong += sum(map(bool, told))
                cells = "".join(f"{'WRONG' if each else 'ok':<10}" for each in told)
                print(f"{version:<8}{kind:<7}{how:<8}{cells}", flush=True)
                print("".join(f"    {each}{os.linesep}" for each in told if each), end="", flush=True)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
