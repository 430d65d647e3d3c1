"""Text for terminal and paper: escape unsafe characters, measure width, pad and wrap."""

from __future__ import annotations

import re
import unicodedata

# Unicode Standard, general categories Cc control, Cs lone surrogate (a byte that was not UTF-8), Zl and Zp line ends
# that terminals may obey. These categories will get no new members.
_UNSEEN = "\x00-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029"
# Marks that turn the reading direction and so can show a text that is not the one in the file: Unicode annex 9.
_TURNING = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_STEERING = f"[{_UNSEEN}{_TURNING}]"

_LEAST_TEXT = 24  # our choice: columns a text keeps even where the screen is too small for it


def printable(text: str, keep: str = "") -> str:
    r"""The text with every character that could steer a terminal written out as an escape.

    Characters in `keep` (a newline, say) pass as they are. Holds for any text; raises nothing.
    Source: Unicode general categories.

    >>> print(printable("north\x1b[2J"))
    north\x1b[2J
    """
    if text.isprintable():  # so it holds nothing of the kind
        return text
    return re.sub(_STEERING, lambda found: found[0] if found[0] in keep else _escape(found[0]), text)


def _escape(character: str) -> str:
    return character.encode("unicode_escape").decode("ascii") if character < " " else escaped(character)


def escaped(text: str) -> str:
    r"""Every character as a JSON escape, so that JSON stays valid in an output that can not carry the character.

    >>> print(escaped("\u00f6\U0001f33f"))
    \u00f6\ud83c\udf3f
    """
    words = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{words[at : at + 2].hex()}" for at in range(0, len(words), 2))


def display_width(text: str) -> int:
    """Columns the text takes on a terminal: wide East Asian characters two, combining marks none.

    Holds for printable text. Source: Unicode annex 11 (East Asian width).

    >>> display_width("\u5317"), display_width("e\u0301"), display_width("north")
    (2, 1, 5)
    """
    return len(text) if text.isascii() else sum(map(_character_width, text))


def _character_width(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def pad(text: str, columns: int, right: bool = False) -> str:
    """The text filled with spaces to so many columns; longer text stays as it is.

    >>> pad("4.0", 6, right=True)
    '   4.0'
    """
    fill = " " * max(0, columns - display_width(text))
    return fill + text if right else text + fill


def wrap(text: str, columns: int) -> list[str]:
    """The text broken at spaces into lines of at most so many columns; a longer word is broken inside.

    Always at least one line. Holds for columns >= 2 (a wide character needs two).

    >>> wrap("take 120 mL and keep the rest", 12)
    ['take 120 mL', 'and keep the', 'rest']
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        for piece in _pieces(word, columns):
            joined = f"{line} {piece}" if line else piece
            if display_width(joined) <= columns:
                line = joined
            else:
                lines.append(line)
                line = piece
    return [*lines, line]


def hanging(lead: str, text: str, columns: int | None, indent: int | None = None) -> list[str]:
    """A lead and a text as lines of at most so many columns, later lines indented as far as the lead or `indent`.

    None for columns: one line, nothing wrapped. The text keeps 24 columns where the lead leaves less.

    >>> hanging("a  ", "take 120 mL and keep the rest of it", 31)
    ['a  take 120 mL and keep the', '   rest of it']
    """
    if columns is None:
        return [lead + text]
    margin = display_width(lead) if indent is None else indent
    first, *rest = wrap(text, max(_LEAST_TEXT, columns - max(margin, display_width(lead))))
    return [lead + first, *(" " * margin + line for line in rest)]


def _pieces(word: str, columns: int) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and display_width(pieces[-1] + character) > columns:
            pieces.append("")
        pieces[-1] += character
    return pieces
