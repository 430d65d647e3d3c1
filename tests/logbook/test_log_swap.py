"""Files swapped in whole: the old one or the new one, never a half. Truth: derived by hand."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from greenrota.errors import ProblemsFound
from greenrota.logbook import swap
from greenrota.logbook.swap import write_beside_and_swap


def _refused(path: Path) -> ProblemsFound:
    with pytest.raises(ProblemsFound) as caught:
        write_beside_and_swap(path, b"new")
    assert [p.code for p in caught.value.problems] == ["file-not-written"]
    return caught.value


def test_a_new_file_and_a_replaced_one_hold_the_bytes_and_nothing_is_left_beside(tmp_path: Path) -> None:
    path = tmp_path / "rota.ics"
    for data in (b"", b"one\r\n", b"\x00" * 100_000):
        write_beside_and_swap(path, data)
        assert path.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path]


def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    real, link = tmp_path / "real.svg", tmp_path / "link.svg"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_beside_and_swap(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_the_bytes_are_on_the_disk_before_the_name_and_the_name_before_it_returns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rota.ics"
    path.write_bytes(b"old")
    steps: list[tuple[str, bytes]] = []
    fsync = os.fsync

    def told(fd: int) -> None:
        fsync(fd)
        steps.append(("folder" if stat.S_ISDIR(os.fstat(fd).st_mode) else "file", path.read_bytes()))

    monkeypatch.setattr(os, "fsync", told)
    write_beside_and_swap(path, b"new")
    assert steps == [("file", b"old"), ("folder", b"new")]


@pytest.mark.parametrize("step", ["write", "fsync"])
def test_a_full_disk_leaves_the_old_file_and_nothing_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "card.pdf"
    path.write_bytes(b"old")

    def fail(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, fail)
    assert _refused(path).status == 1
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_place_that_cannot_hold_a_file_is_a_fault_of_the_command_line(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"old")
    for path in (tmp_path, tmp_path / "nowhere" / "x.svg", file / "x.svg", tmp_path / ("x" * 300)):
        assert _refused(path).status == 2
    assert list(tmp_path.iterdir()) == [file]


def test_a_device_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    write_beside_and_swap(Path(os.devnull), b"new")
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


def test_a_pipe_gets_the_bytes() -> None:
    reading, writing = os.pipe()
    try:
        write_beside_and_swap(Path(f"/dev/fd/{writing}"), b"new")
        assert os.read(reading, 10) == b"new"
    finally:
        os.close(reading)
        os.close(writing)


@pytest.mark.parametrize(("number", "raised"), [(errno.EINVAL, False), (errno.EIO, True)])
def test_a_folder_that_cannot_be_synced_is_no_failure_but_a_bad_disk_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, raised: bool
) -> None:
    def fail(fd: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fail)
    if raised:
        with pytest.raises(OSError, match=os.strerror(number)):
            swap.sync_folder(tmp_path)
    else:
        swap.sync_folder(tmp_path)
