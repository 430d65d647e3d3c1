"""Splitting a logbook line into words, quoted or bare, and its remark; and quoting what is written."""

import re
from typing import NamedTuple

from greenrota.errors import Place, Problem

# Texts, for they are seldom wanted: `re` compiles each when it is first used.
_WORD = r'(?:([^\s"#=\\]+)=)?(?:"((?:[^"\\]|\\.)*)"|([^\s"#\\]*))'
_BARE = r'[^\s"#=\\]+'
_ESCAPE = r"\\(?:([\"\\nt])|u([0-9a-fA-F]{4})|.?)"
_ESCAPED = {'"': '"', "\\": "\\", "n": "\n", "t": "\t"}
_CONTROL = "[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029]"
# Control characters, line separators, bidirectional controls and the byte-order mark: never written raw.
_UNSAFE = '["\\\\\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]'
_SPELLED = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}


class Word(NamedTuple):
    """One word of a line: `key` is None for a word without `=`; `where` marks it.

    `cut` tells that a `#` stands right behind a bare word, so that it may belong to it.
    """

    key: str | None
    text: str
    where: Place
    cut: bool


def split_line(where: Place) -> tuple[list[Word], str, Problem | None]:
    """The words of the line `where.text`, its remark, and the problem that stopped the splitting, if any.

    The words before the faulty one are returned too: the running number may be among them.

    >>> [word.text for word in split_line(Place(text='fed "big jar" dose=1 # late'))[0]]
    ['fed', 'big jar', '1']
    """
    line, at = where.text, 0
    words: list[Word] = []
    word = re.compile(_WORD)
    if control := re.search(_CONTROL, line):
        code = ord(control[0])
        marked = mark(where, control.start(), 1)
        what = f"a control character (U+{code:04X}) stands in the line"
        hint = f"delete it, or write it as \\u{code:04x} inside quotes; many of them tell of a damaged disk"
        return words, "", Problem("log-control", marked, what, hint)
    while True:
        while at < len(line) and line[at].isspace():
            at += 1
        if at == len(line) or line[at] == "#":
            return words, line[at + 1 :].strip(), None
        found = word.match(line, at)
        end = at if found is None else found.end()
        if found is None or (end < len(line) and not line[end].isspace() and line[end] != "#"):
            return words, "", _unsplit(where, end)
        text = found[3] if found[2] is None else unescaped(found[2])
        marked = mark(where, at, end - at)
        if text is None:
            what = "a backslash in the quotes spells nothing that is known"
            return words, "", Problem("log-quotes", marked, what, 'known are \\" \\\\ \\n \\t and \\uXXXX')
        words.append(Word(found[1], text, marked, found[2] is None and line[end : end + 1] == "#"))
        at = end


def mark(where: Place, start: int, width: int) -> Place:
    """The same place with `width` characters marked from index `start` (0-based) of its text.

    >>> mark(Place(text="abc"), 1, 2).column
    2
    """
    return where._replace(column=start + 1, width=width)


def _unsplit(where: Place, at: int) -> Problem:
    if where.text[at] == "\\":
        what, hint = "a backslash stands outside quotes", 'put the whole value into quotes and write "\\\\"'
    else:
        what = "a quote opens and is never closed, or stands in the middle of a word"
        hint = 'quotes go round a whole name or value, as in reason="wrong vessel"; inside them write \\"'
    return Problem("log-quotes", mark(where, at, 1), what, hint)


def unescaped(text: str) -> str | None:
    """The text between two quotes with its escapes resolved; None if an escape is not known.

    >>> unescaped("a \\\\u0041")
    'a A'
    """
    parts: list[str] = []
    at = 0
    for found in re.finditer(_ESCAPE, text):
        if found[1] is None and (found[2] is None or "d800" <= found[2].lower() <= "dfff"):
            return None
        parts += [text[at : found.start()], _ESCAPED[found[1]] if found[1] else chr(int(found[2], 16))]
        at = found.end()
    return "".join(parts) + text[at:]


def quoted(text: str) -> str:
    """The spelling of a name or value: bare where it can be, else in quotes with escapes.

    >>> print(quoted("north"), quoted("wrong vessel"))
    north "wrong vessel"
    """
    if re.fullmatch(_BARE, text) and not re.search(_UNSAFE, text):
        return text
    return '"' + re.sub(_UNSAFE, lambda found: _SPELLED.get(found[0], f"\\u{ord(found[0]):04x}"), text) + '"'


def one_clean_line(text: str) -> bool:
    """True if the text can stand as a remark: one line, no control characters, no space at its ends.

    >>> one_clean_line("two\\nlines")
    False
    """
    return text == text.strip() and not re.search(_CONTROL, text) and encodable(text)


def encodable(text: str) -> bool:
    """False if the text holds half a character (a lone surrogate), as a badly encoded argument does.

    >>> encodable("\\udc80")
    False
    """
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True
