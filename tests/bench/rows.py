"""Rows of the table of benchmarks, and processes measured in turn; used by the benchmarks of this folder."""

from __future__ import annotations

import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path


def row(figure: str, goal: float, value: float, unit: str = "x", at_least: bool = False) -> bool:
    """Print a row of the table; True if the goal is met."""
    held = value >= goal if at_least else value <= goal
    most = "at least" if at_least else "at most"
    print(f"| {figure} | {most} {goal:g} {unit} | {value:.3g} {unit} | {'yes' if held else '**no**'} |")
    return held


def told(figure: str, value: float, unit: str) -> None:
    """Print a row without a goal."""
    print(f"| {figure} | - | {value:.3g} {unit} | - |")


def machine() -> str:
    """The machine in a few words, without the name of who made it."""
    return f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"


def pin() -> None:
    """Keep this process and those it starts on one core, where the system can do that."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def environment(folder: Path) -> dict[str, str]:
    """That of an installed program: its byte-code is written, and what a search found is remembered, in a folder."""
    here = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {
        **here,
        "PYTHONPYCACHEPREFIX": str(folder / "bytecode"),
        "GREENROTA_CACHE": str(folder / "cache"),
    }


def processor_s(words: Sequence[str], around: Mapping[str, str], cwd: Path) -> float:
    """Seconds of the processor that one run of Python with these words takes; waiting for others does not count."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)  # in microseconds, where os.times counts hundredths
    subprocess.run(
        [sys.executable, *words],
        check=True,
        cwd=cwd,
        env=around,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime - before.ru_utime) + (after.ru_stime - before.ru_stime)


def in_turn(
    commands: Mapping[str, Sequence[str]], rounds: int, around: Mapping[str, str], cwd: Path
) -> dict[str, list[float]]:
    """Each command once a round, after one round that does not count: processor seconds by command and round.

    A slow moment of the machine so hits all alike.
    """
    measured: dict[str, list[float]] = {name: [] for name in commands}
    for count in range(rounds + 1):
        for name, words in commands.items():
            seconds = processor_s(words, around, cwd)
            if count:
                measured[name].append(seconds)
    return measured


def ratio(measured: Mapping[str, Sequence[float]], name: str, floor: str) -> float:
    """The median over the rounds of one command against another of the same round."""
    return statistics.median(a / b for a, b in zip(measured[name], measured[floor], strict=True))


def room() -> tempfile.TemporaryDirectory[str]:
    """A folder that is gone afterwards."""
    return tempfile.TemporaryDirectory(prefix="bench")
