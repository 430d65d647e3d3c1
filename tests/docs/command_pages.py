"""The commands as the reference shows them, read from the signatures that the command line is built from."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any, get_args, get_origin

from typer.models import ArgumentInfo, OptionInfo, ParameterInfo

from greenrota.cli.log.log import log
from greenrota.cli.main import COMMANDS
from greenrota.cli.reckon.reckon import RECKONINGS

_SHARED = "0 done; 1 plan or logbook can not be read, or the plan has problems; 2 the command line"
_WROTE = f"{_SHARED}, or FILE is not ours to replace"
_RECKONED = "0 done; 2 the command line"
# What a status means where it is not the usual.
_STATUS = {
    "new": "0 done; 1 the file is there already, or can not be written; 2 the command line",
    "check": "0 sound; 1 the plan or the logbook has problems (all are shown), or no plan is found; 2 the command line",
    "log": "0 recorded (or nothing was open); 1 nothing was recorded: the answer was no, nobody could be asked, "
    "or the disk did not take it; 2 the command line",
    "risk": f"{_WROTE} (--svg); 1 also where --vessels finds no production vessel",
    "size": f"{_SHARED}; 1 also without a ration or a production vessel",
    "calendar": f"{_WROTE}; 1 also where there is nothing to enter, or the memory file is damaged",
    **dict.fromkeys(("card", "labels", "month", "sheet"), _WROTE),
    **dict.fromkeys(("tasks", "growth", "bottles"), f"{_WROTE} (--svg)"),
}


# Words of many commands with one meaning: told once, above the commands.
_EVERYWHERE = (
    ("PLAN", "Plan file; default: plan.toml here or in the nearest parent folder."),
    ("--on DATE", "The day it is taken to be; default: today."),
    ("--from DATE", "First day that is shown."),
    ("--days N", "How many days are shown; default: all. 1 to 4000."),
    ("--json", "Print one JSON object."),
    ("--svg FILE", "Write a picture (SVG)."),
    ("--force", "Replace FILE even if it was not made by greenrota."),
)


@dataclass(frozen=True)
class Word:
    """One argument or option: how it is written, its default and what it is for."""

    is_option: bool
    written: str
    default: str
    about: str


def command_pages() -> str:
    """Every command but the bench arithmetic, each with a heading of its own."""
    parts = []
    moment = ""
    for here, command, example in COMMANDS:
        if here != moment:
            parts.append(f"## {here}")
            moment = here
        parts.append(_page(command.__name__, command, example, _STATUS.get(command.__name__, _SHARED)))
    return "\n\n".join(parts)


def reckon_pages() -> str:
    """The bench arithmetic, each with a heading of its own."""
    return "\n\n".join(
        _page(f"reckon {command.__name__}", command, example, _RECKONED) for _, command, example in RECKONINGS
    )


def log_options() -> dict[str, str]:
    """The options of `greenrota log` by name, without their dashes, with what they are for."""
    return {word.written.split()[0].lstrip("-"): word.about for word in words(log) if word.is_option}


def _page(name: str, command: Callable[..., None], example: str, status: str) -> str:
    text = inspect.cleandoc(command.__doc__ or "")
    found = words(command)
    usage = " ".join([f"greenrota {name}", *(_used(word) for word in found if not word.is_option)])
    usage += " [OPTIONS]" if any(word.is_option for word in found) else ""
    own = [word for word in found if (word.written, word.about) not in _EVERYWHERE]
    rows = [f"| `{word.written}` | {word.default} | {word.about} |" for word in own]
    table = ["\n".join(["| word | default | meaning |\n|---|---|---|", *rows])] if rows else []
    usual = ", ".join(f"`{word.written}`" for word in found if word not in own)
    shared = [f"And, as everywhere: {usual}."] if usual else []
    end = [] if status == _SHARED else [f"Exit status: {status}."]
    return "\n\n".join([f"### {name}", text, f"`{usage}`", *table, *shared, f"Example: `{example}`", *end])


def shared_table() -> str:
    """The words that mean the same in every command that takes them."""
    rows = [f"| `{written}` | {about} |" for written, about in _EVERYWHERE]
    return "\n".join(["| word | meaning |\n|---|---|", *rows])


def _used(word: Word) -> str:
    plain = word.written.strip("[]").removesuffix("...")
    return word.written if word.default == "needed" or word.written.startswith("[") else f"[{plain}]"


def words(command: Callable[..., None]) -> list[Word]:
    """Arguments and options of a command, arguments first."""
    signature = inspect.signature(command, eval_str=True)
    found = [_word(name, each) for name, each in signature.parameters.items()]
    return sorted(found, key=lambda word: word.is_option)


def _word(name: str, parameter: inspect.Parameter) -> Word:
    kind, told = _told(parameter.annotation)
    help_text = (told.help or "").replace("|", "\\|")
    needed = parameter.default is inspect.Parameter.empty
    default = "needed" if needed else _default(parameter.default)
    if isinstance(told, ArgumentInfo):
        return Word(False, str(told.metavar), default, help_text)
    decls = [
        told.default,
        *(told.param_decls or ()),
    ]  # typer keeps the first name where a default used to stand
    names = [each for each in decls if isinstance(each, str) and each.startswith("--")]
    written = names[0] if names else f"--{name.replace('_', '-')}"
    if kind is bool:
        return Word(True, written, "off", help_text)
    if isinstance(kind, type) and issubclass(kind, Enum):
        choice = "/".join(str(each.value) for each in kind)
        return Word(True, f"{written} {choice}", default, help_text)
    if told.min is not None:
        help_text += (
            f" From {told.min:.12g}." if told.max is None else f" {told.min:.12g} to {told.max:.12g}."
        )
    return Word(True, f"{written} {told.metavar}".replace("|", " or "), default, help_text)


def _told(annotation: Any) -> tuple[Any, OptionInfo | ArgumentInfo]:
    """The type behind an annotation, and what typer is told of it."""
    assert get_origin(annotation) is Annotated
    kind, *rest = get_args(annotation)
    told = next(each for each in rest if isinstance(each, ParameterInfo))
    assert isinstance(told, OptionInfo | ArgumentInfo)
    return kind, told


def _default(value: object) -> str:
    if value is None:
        return "-"
    return f"`{value.value}`" if isinstance(value, Enum) else f"`{value}`"
