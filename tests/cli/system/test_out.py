"""What leaves the program, whatever the stream can carry."""

import errno
import io
import json
import os
import sys
from pathlib import Path
from typing import IO

import pytest
import typer

from greenrota import load
from greenrota.cli.system import out


class Stream(io.TextIOWrapper):
    """A text stream in memory with an encoding, a terminal or not."""

    def __init__(self, encoding: str, terminal: bool = False) -> None:
        super().__init__(io.BytesIO(), encoding=encoding, newline="\n")
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal

    def written(self) -> bytes:
        self.flush()
        return self.buffer.getvalue()  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("encoding", "bytes_out"),
    [
        ("utf-8", "a \u2192 \u2265 \u5317\n".encode()),
        ("ascii", b"a -> >= \\u5317\n"),
        ("latin-1", b"a -> >= \\u5317\n"),
    ],
)
def test_characters_the_stream_lacks_are_replaced(
    encoding: str, bytes_out: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = Stream(encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    out.write("a \u2192 \u2265 \u5317")
    assert stream.written() == bytes_out


def test_only_newline_and_tab_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Stream("utf-8")
    monkeypatch.setattr(sys, "stdout", stream)
    out.write("a\tb\nc\x1b[2J\x00\udc80\n\n")
    assert stream.written() == b"a\tb\nc\\x1b[2J\\x00\\udc80\n"


def test_width_is_known_for_a_terminal_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "72")
    monkeypatch.setattr(sys, "stdout", Stream("utf-8", terminal=True))
    assert out.screen_width() == 72
    monkeypatch.setattr(sys, "stdout", Stream("utf-8"))
    assert out.screen_width() is None


@pytest.mark.parametrize(("encoding", "plain"), [("utf-8", False), ("cp1252", True), ("ascii", True)])
def test_braille_only_where_it_can_be_carried(
    encoding: str, plain: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdout", Stream(encoding))
    assert out.ascii_only() is plain


class Failing(Stream):
    """A stream over a file that takes nothing."""

    def __init__(self, file: IO[bytes], error: OSError) -> None:
        super().__init__("utf-8")
        self.file, self.error = file, error

    def write(self, text: str) -> int:
        raise self.error

    def fileno(self) -> int:
        return self.file.fileno()


def test_a_full_disk_is_told_and_a_reader_gone_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with (tmp_path / "out").open("wb") as file:
        monkeypatch.setattr(sys, "stdout", Failing(file, OSError(errno.ENOSPC, "No space left on device")))
        with pytest.raises(OSError, match="No space left"):
            out.write("text")
        monkeypatch.setattr(sys, "stdout", Failing(file, BrokenPipeError()))
        with pytest.raises(typer.Exit) as end:
            out.write("text")
        assert end.value.exit_code == 0


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_json_stays_json_whatever_the_output_can_carry(
    encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = Stream(encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    told = {"name": "n\u00f6rd \u5317 \U0001f33f \u201c \x7f\x9b\u202e\u2028"}
    out.write(json.dumps(told, ensure_ascii=False))
    read = json.loads(stream.written().decode(encoding))["name"]
    assert read.replace("'", "\u201c") == told["name"]


def test_a_failing_output_and_a_failing_read_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails in the middle names no file; the folder that is gone is the only one without a name."""

    def fail(*_: object) -> bytes:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(out, "_send", fail)
    monkeypatch.setattr(os, "dup2", lambda *_: None)
    with Path(os.devnull).open("w") as nowhere, pytest.raises(OSError) as caught:
        monkeypatch.setattr(sys, "stdout", nowhere)
        out.write("x")
    assert out.unreadable(caught.value).where.file == "standard output"
    monkeypatch.setattr(Path, "read_bytes", fail)
    with pytest.raises(OSError) as caught:
        load(tmp_path / "plan.toml")
    assert out.unreadable(caught.value).where.file == str(tmp_path / "plan.toml")
    assert out.unreadable(FileNotFoundError(errno.ENOENT, "gone")).where.file == "this folder"
