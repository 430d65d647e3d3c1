"""The options of `greenrota log` that say what an entry holds: one for every key of the logbook, named after it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from functools import wraps
from typing import Annotated, Any

import typer

from greenrota.cli.options import completion

# What each key says, with the kinds of entries that take it first; in the order of `greenrota log --help`.
KEY_HELP: Mapping[str, str] = {
    "from": "started: what the inoculum came from; given: the bottle.",
    "inoculum": "started, reseeded: culture that went in or stayed.",
    "volume": "harvested, banked, discarded, given: taken out; started, reseeded: filled to; measured: left.",
    "seawater": "topped-up: new seawater poured in.",
    "keep": "harvested: culture that stayed.",
    "density": "started, harvested, banked, counted: such as 9.1e5/mL.",
    "cells": "counted: cells seen, instead of --density.",
    "squares": "counted: large squares they were seen in.",
    "dilution": "counted: 1 undiluted, 2 one part made up to two.",
    "cause": "crashed: contamination, overheating, ..., unknown.",
    "since": "crashed, suspected: first day on which it may have gone wrong.",
    "dose": "fed: in label doses.",
    "nutrient": "started, topped-up, fed, reseeded: volume poured from the nutrient bottle.",
    "light": "reseeded: hours of light a day, where not the usual ones.",
    "task": "skipped: the task, such as north/2/feed.",
    "entry": "void: number of the entry that is taken back.",
    "reason": "Why.",
    "text": "note: what is to be remembered.",
    "colour": "note: colour of the culture, such as brown.",
    "smell": "note: what it smells of.",
    "foam": "note: none, some or much.",
    "clumping": "note: none, some or much.",
    "ph": "note: pH as measured, such as 8.4.",
    "sg": "note: specific gravity as measured, such as 1.020.",
    "temperature": "note: temperature of the culture, such as 24degC.",
}
_COMPLETED: Mapping[str, Callable[..., list[str]]] = {"from": completion.sources, "cause": completion.causes}

Given = Mapping[str, str]
_PARAMETER = "given"  # the parameter of a command in whose place the options stand


def with_key_options(command: Callable[..., None]) -> Callable[..., None]:
    """The command with an option for every key in place of its parameter `given`.

    It gets there what was typed, by key; keys without an option on the line are left out.
    """
    signature = inspect.signature(command, eval_str=True)
    parameters: list[inspect.Parameter] = []
    for name, parameter in signature.parameters.items():
        parameters += map(_option, KEY_HELP) if name == _PARAMETER else [parameter]

    @wraps(command)
    def with_given(**words: Any) -> None:
        typed = {key: words.pop(_name(key)) for key in KEY_HELP}
        words[_PARAMETER] = {key: text for key, text in typed.items() if text is not None}
        command(**words)

    with_given.__signature__ = signature.replace(parameters=parameters)  # type: ignore[attr-defined]
    return with_given


def _name(key: str) -> str:
    """The name of a key's parameter: `from` alone would be a word of Python."""
    return f"{key}_"


def _option(key: str) -> inspect.Parameter:
    option = typer.Option(
        f"--{key}",
        metavar="VALUE",
        help=KEY_HELP[key],
        show_default=False,
        autocompletion=_COMPLETED.get(key),
    )
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    return inspect.Parameter(_name(key), kind, default=None, annotation=Annotated[str | None, option])
