"""The commands as the reference shows them, read from the signatures that the command line is built from."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any, get_args, get_origin

from typer.models import ArgumentInfo, OptionInfo, ParameterInfo

from greenrota.cli.log.log import log
from greenrota.cli.reckon.reckon import RECKONINGS
from greenrota.cli.table import COMMANDS
from greenrota.logbook.vocabulary import KEYS

# What a status means where it is not the usual.
_STATUS = {
    "new": "1 also where the file is there already",
    "check": "1 also where no plan is found or the logbook has problems",
    "log": "0 recorded, or nothing was open; 1 nothing was recorded: the answer was no, nobody could be asked, or the "
    "disk did not take it",
    "risk": "1 also where --vessels finds no production vessel",
    "size": "1 also without a ration or a production vessel",
    "calendar": "1 also where there is nothing to enter, or the memory file is damaged",
}


# Words of many commands with one meaning: told once, above the commands.
_EVERYWHERE = (
    ("PLAN", "Plan file; default: plan.toml here or in the nearest parent folder."),
    ("--on DATE", "The day it is taken to be; default: today."),
    ("--from DATE", "First day that is shown."),
    ("--days N", "How many days are shown; default: all. 1 to 4000."),
    ("--next", "Show the coming calendar month, also where the horizon ends before; dates that stand stay."),
    ("VESSEL", "The vessel, by its name in the plan."),
    ("VOLUME", 'Finished volume of water, such as "4 L".'),
    ("--json", "Print one JSON object."),
    ("--csv", "Print a CSV table."),
    ("--svg FILE", "Write a picture (SVG)."),
    ("--html FILE", "Write a page that prints."),
    ("--pdf FILE", 'Write a PDF (needs the extra "pdf").'),
    ("--force", "Replace FILE even if it is not ours or was edited."),
    ("--seed N", "Same seed, same luck. From 0."),
    ("--hydrometer T/T", "What an SG reading compares; see the instrument."),
    ("--units metric/us", "US customary units beside metric ones, or metric only."),
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
    for each in COMMANDS:
        if each.moment != moment:
            parts.append(f"## {each.moment}")
            moment = each.moment
        parts.append(_page(each.name, each.function(), each.example, _STATUS.get(each.name, "")))
    return "\n\n".join(parts)


def reckon_pages() -> str:
    """The bench arithmetic, each with a heading of its own."""
    return "\n\n".join(
        _page(f"reckon {command.__name__}", command, example, "") for _, command, example in RECKONINGS
    )


def log_options() -> dict[str, str]:
    """The options of `greenrota log` by name, without their dashes, with what they are for."""
    return {word.written.split()[0].lstrip("-"): word.about for word in words(log) if word.is_option}


def _page(name: str, command: Callable[..., None], example: str, status: str) -> str:
    text = inspect.cleandoc(command.__doc__ or "")
    found = words(command)
    usage = " ".join([f"greenrota {name}", *(_used(word) for word in found if not word.is_option)])
    own = [word for word in found if not _told_elsewhere(name, word)]
    rows = ["\n".join(f"- {_line(word)}" for word in own)] if own else []
    usual = ", ".join(f"`{word.written.split()[0]}`" for word in found if word not in own and word.is_option)
    shared = [f"{'Keys' if name == 'log' else 'Shared'}: {usual}."] if usual else []
    end = [f"Exit status: {status}."] if status else []
    shown = f"`{usage}`, say `{example}`" if name == "log" else f"`{usage}`"
    return "\n\n".join([f"### {name}", text, shown, *rows, *shared, *end])


def _told_elsewhere(name: str, word: Word) -> bool:
    """True for a word of many commands, and for the options of `log` that are keys of an entry."""
    key = word.written.split()[0].lstrip("-")
    return (word.written, word.about) in _EVERYWHERE or (name == "log" and word.is_option and key in KEYS)


def _line(word: Word) -> str:
    default = {"needed": " (needed)", "-": "", "off": ""}.get(word.default, f" ({word.default})")
    return f"`{word.written}`{default}: {word.about}"


def shared_table() -> str:
    """The words that mean the same in every command that takes them."""
    return "\n".join(f"- `{written}`: {about}" for written, about in _EVERYWHERE)


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
