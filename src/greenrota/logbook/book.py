"""The whole logbook: its lines, its running numbers, and which entries its voids take back."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

from greenrota.errors import Place, Problem
from greenrota.logbook.archive.named import Archive, is_archive_line, read_archive_line
from greenrota.logbook.entry import Entry, number_on, parse_line
from greenrota.logbook.quick import QuickReader

# What the next append writes behind a last line that had no line end and may have been cut off.
DOUBTFUL = "this line had no end: was it cut off?"
_SEEN_BYTES = 1000  # our choice: in UTF-16 every second byte of these is zero, in UTF-8 none


class Book(NamedTuple):
    """All entries as written, voids and voided ones included, those of the archives first.

    `problems` have to be mended before the book can be trusted; `notices` are worth saying and no more.
    """

    entries: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()
    notices: tuple[Problem, ...] = ()
    archives: tuple[Archive, ...] = ()


class Part:
    """One file of a book as read, by itself: the logbook or an archive.

    `numbers` are running numbers known to have been there besides those of the entries; `archives` are the files that
    it names, and `archive_problems` what is wrong with lines that name some.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.entries: list[Entry] = []
        self.problems: list[Problem] = []
        self.notices: list[Problem] = []
        self.numbers: set[int] = set()
        self.archives: list[Archive] = []
        self.archive_problems: list[Problem] = []


def read_book(data: bytes, file: str = "") -> Book:
    """The entries of a logbook and everything that is wrong with it. Every line is either read or reported.

    A byte-order mark and CRLF line ends are taken as they come; bad UTF-8 spoils its own line only. Archives that it
    names are not read.

    >>> read_book(b"2027-02-08 counted north density=9.1e5/mL n=1\\n").entries[0].number
    1
    """
    return bound([read_part(data, file)])


def read_part(data: bytes, file: str = "") -> Part:
    """The entries of one file and what is wrong with its lines; see `read_book`."""
    part = Part(file)
    fault = encoding_fault(data, file)
    if fault is not None:
        part.problems.append(fault)
        return part
    lines, quick = data.split(b"\n"), QuickReader(file)
    for line_no, raw in enumerate(lines, start=1):
        torn = line_no == len(lines)
        read = _read_line(raw, line_no, quick)
        if isinstance(read, Entry):
            part.entries.append(read)
            if is_doubtful(read, torn):
                part.notices.append(_doubt(read.where))
        elif isinstance(read, Archive):
            part.archives.append(read)
        elif isinstance(read, Problem):
            part.archive_problems.append(read)
        elif read is not None:
            part.problems.extend([_torn(read, line_no, file)] if torn else read)
            salvaged = number_on(read[0].where.text)
            part.numbers.update(set() if salvaged is None else {salvaged})
    return part


def bound(parts: Sequence[Part]) -> Book:
    """The book of its files, in the order in which they were written, with what is wrong with it as a whole."""
    entries = [entry for part in parts for entry in part.entries]
    problems = [problem for part in parts for problem in (*part.archive_problems, *part.problems)]
    single, doubled, twice = _by_number(entries)
    numbers = {entry.number for entry in single if entry.number is not None}
    numbers = numbers.union(*(part.numbers for part in parts))
    problems += twice + _gaps(numbers, single, parts[-1].file) + void_problems(single, numbers)
    order = {part.file: place for place, part in enumerate(parts)}
    problems.sort(key=lambda problem: (order.get(problem.where.file, 0), problem.where.line))
    notices = [notice for part in parts for notice in part.notices]
    archives = tuple(archive for part in parts for archive in part.archives)
    return Book(tuple(single), tuple(problems), tuple(notices + doubled), archives)


def encoding_fault(data: bytes, file: str = "") -> Problem | None:
    """What keeps a whole file from being read as a logbook: UTF-16, or line ends without a line feed.

    None for UTF-8 with LF or CRLF. Codes: log-encoding, log-line-ends.

    >>> encoding_fault("2027-02-08 fed north n=1\\n".encode("utf-16")).code
    'log-encoding'
    """
    start = data[:_SEEN_BYTES]
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or start.count(b"\0") * 4 > len(start):
        what = "the logbook is not UTF-8 but UTF-16"
        hint = "save it in the editor with the encoding UTF-8; nothing else has to be changed"
        return Problem("log-encoding", Place(file), what, hint)
    if b"\n" not in data and b"\r" in data[:-1]:
        what = "its lines end with a carriage return alone (CR), so it reads as one line"
        hint = "save it in the editor with the line ends LF (Unix) or CRLF (Windows)"
        return Problem("log-line-ends", Place(file), what, hint)
    return None


def is_doubtful(entry: Entry, no_line_end: bool) -> bool:
    """True if a line that can be read may still be the first part of a longer one.

    The program writes `n=` last, so a line with a number is whole, and so is one with a remark.
    """
    return entry.number is None and (entry.remark == DOUBTFUL or (no_line_end and not entry.remark))


def culture(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries that hold, by day and then as written: without voids and without what they take back.

    A void that is voided itself takes nothing back.

    >>> book = read_book(b'2027-02-08 fed north n=1\\n2027-02-08 void - entry=1 n=2\\n')
    >>> culture(book.entries)
    ()
    """
    written = list(entries)
    voids = [entry for entry in written if entry.kind == "void"]
    struck: set[int] = set()
    # A void names an earlier entry: going from the newest to the oldest, each void is decided before the one it names.
    for void in sorted(voids, key=lambda entry: (entry.number is not None, -(entry.number or 0))):
        named = void.entry_number()
        if named is not None and void.number not in struck and (void.number is None or named < void.number):
            struck.add(named)
    held = [entry for entry in written if entry.kind != "void" and entry.number not in struck]
    return tuple(sorted(held, key=lambda entry: entry.on))


def void_problems(entries: Iterable[Entry], numbers: set[int]) -> list[Problem]:
    """Voids that name a number that is not among `numbers`, their own, or a later one.

    >>> [p.code for p in read_book(b"2027-02-08 void - entry=7 n=1\\n").problems]
    ['log-void-missing']
    """
    problems = []
    for entry in entries:
        named = entry.entry_number() if entry.kind == "void" else None
        if named is None:
            continue
        hint = "name the number that stands after n= on the wrong line; numbers are not changed afterwards"
        if named == entry.number:
            problems.append(Problem("log-void-itself", entry.where, f"entry {named} voids itself", hint))
        elif named not in numbers:
            what = f"there is no entry {named} to void"
            problems.append(Problem("log-void-missing", entry.where, what, hint))
        elif entry.number is not None and named > entry.number:
            what = f"entry {entry.number} voids entry {named}, which was written after it"
            problems.append(Problem("log-void-later", entry.where, what, hint))
    return problems


def _read_line(
    raw: bytes, line_no: int, quick: QuickReader
) -> Entry | Archive | Problem | list[Problem] | None:
    file = quick.file
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        shown = raw.decode("utf-8", errors="replace").rstrip("\r")
        what = f"the line is not UTF-8 (byte {error.start + 1} of the line)"
        hint = "write the damaged word again; the other lines are not touched by it"
        return [Problem("log-encoding", Place(file, line_no, shown), what, hint)]
    text = text.removeprefix("\ufeff").removesuffix("\r")
    entry = quick.read(text, line_no)
    if entry is not None:
        return entry
    if is_archive_line(text):
        return read_archive_line(Place(file, line_no, text))
    return parse_line(text, line_no, file)


def _torn(found: Sequence[Problem], line_no: int, file: str) -> Problem:
    where = Place(file, line_no, found[0].where.text)
    what = f"the last line is cut off and cannot be read ({found[0].what})"
    return Problem("log-torn", where, what, "complete it by hand, or put a # in front of it")


def _doubt(where: Place) -> Problem:
    what = "the line had no line end and no number: it may be the front part of a longer one"
    return Problem(
        "log-torn", where, what, "see that it is whole; then end it with a line break, without the remark"
    )


def _by_number(entries: Iterable[Entry]) -> tuple[list[Entry], list[Problem], list[Problem]]:
    """The entries with exact doubles counted once, a notice for each double, a problem for each number used twice."""
    entries = list(entries)
    numbers = [entry.number for entry in entries if entry.number is not None]
    if len(set(numbers)) == len(numbers):
        return entries, [], []
    seen: dict[int, list[Entry]] = {}
    single: list[Entry] = []
    doubled: list[Problem] = []
    twice: list[Problem] = []
    for entry in entries:
        others = seen.setdefault(entry.number, []) if entry.number is not None else []
        bare = replace(entry, remark="")
        if bare in others:
            what = f"entry {entry.number} stands there twice, word for word; it counts once"
            doubled.append(Problem("log-doubled", entry.where, what, "one of the two lines can be deleted"))
            continue
        if others:
            first = others[0].where
            at = f"on line {first.line}" if first.file == entry.where.file else f"in {first}"
            what = f"number {entry.number} is used twice for different entries (first {at})"
            hint = "two books were mixed: see whether both happened, and give one of them a free number"
            twice.append(Problem("log-number-twice", entry.where, what, hint))
        others.append(bare)
        single.append(entry)
    return single, doubled, twice


def _gaps(numbers: set[int], entries: Iterable[Entry], file: str) -> list[Problem]:
    if len(numbers) == max(numbers, default=0):
        return []
    lines = {entry.number: entry.where for entry in entries}
    problems = []
    last = 0
    for number in sorted(numbers):
        if number > last + 1:
            lost = (
                f"number {last + 1} is" if number == last + 2 else f"numbers {last + 1} to {number - 1} are"
            )
            where = lines.get(number, Place(file))
            hint = "an editor or a sync service may have lost a line: look for a copy of the book beside it"
            problems.append(Problem("log-gap", where, f"{lost} missing before this entry", hint))
        last = number
    return problems
