"""Whole or not at all: files and folders."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from overlays.errors import WorkError
from overlays.files import (
    check_room,
    is_leftover,
    remove_leftovers,
    scratch_folder,
    size_text,
    write_text_whole,
    written_whole,
)


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def _write_and_raise(target: Path, error: BaseException) -> None:
    with written_whole(target) as part:
        part.write_bytes(b"x" * 1500)
        raise error


def _write_to_a_full_device(target: Path) -> None:
    with written_whole(target) as part:
        part.write_bytes(b"x" * 1500)
        with Path("/dev/full").open("wb", buffering=0) as stream:
            stream.write(b"y")


def test_a_file_appears_only_when_the_block_ends(tmp_path: Path) -> None:
    """While the block writes, the target is not there; afterwards it is, and nothing else."""
    target = tmp_path / "new" / "a.mov"
    with written_whole(target) as part:
        part.write_bytes(b"whole")
        assert part.parent == target.parent
        assert part.suffix == ".mov"
        assert part.name.startswith(".")
        assert not target.exists()
    assert target.read_bytes() == b"whole"
    assert _names(target.parent) == ["a.mov"]


@pytest.mark.parametrize("interruption", [ValueError, KeyboardInterrupt, SystemExit])
def test_an_error_leaves_the_old_state(tmp_path: Path, interruption: type[BaseException]) -> None:
    """Whatever ends the block early, the former file stands and nothing is left beside it."""
    target = tmp_path / "a.txt"
    target.write_text("old")
    with pytest.raises(interruption):
        _write_and_raise(target, interruption())
    assert target.read_text() == "old"
    assert _names(tmp_path) == ["a.txt"]


def test_a_folder_replaces_a_folder(tmp_path: Path) -> None:
    """A folder of numbered files takes the place of the former one as a whole."""
    target = tmp_path / "frames"
    target.mkdir()
    (target / "9.png").write_bytes(b"old")
    with written_whole(target) as part:
        (part / "deep").mkdir(parents=True)
        (part / "deep" / "0.png").write_bytes(b"new")
    assert [p.name for p in target.rglob("*.png")] == ["0.png"]
    assert _names(tmp_path) == ["frames"]


def test_a_folder_that_cannot_take_its_place_puts_the_old_one_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the last rename fails, the former folder is back under its name."""
    target = tmp_path / "frames"
    target.mkdir()
    (target / "9.png").write_bytes(b"old")
    rename = Path.replace

    def failing(self: Path, other: Path) -> Path:
        if ".part" in self.name:
            raise PermissionError(errno.EACCES, "Permission denied", str(self))
        return rename(self, other)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(WorkError, match="cannot be written") as caught, written_whole(target) as p:
        p.mkdir()
    assert caught.value.code == "cannot-write"
    assert _names(tmp_path) == ["frames"]
    assert _names(target) == ["9.png"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_said_in_those_words(tmp_path: Path) -> None:
    """A real ENOSPC becomes one error that says what is needed and what is free."""
    target = tmp_path / "a.mov"
    with pytest.raises(WorkError, match="the disk is full") as caught:
        _write_to_a_full_device(target)
    assert caught.value.code == "disk-full"
    assert "more than the 1.5 kB written so far" in caught.value.message
    assert "is free" in caught.value.message
    assert _names(tmp_path) == []


def test_too_little_room_is_said_before_starting(tmp_path: Path) -> None:
    """Where the size is known beforehand, nothing is started that cannot fit."""
    with pytest.raises(WorkError, match=r"needs about 1000000.0 TB"):
        check_room(tmp_path, 10**18)
    check_room(tmp_path, 1)


@pytest.mark.parametrize("call", ["os.fsync", "pathlib.Path.replace"])
def test_every_step_at_the_end_may_fail(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    """A disk that fills while flushing or renaming leaves no part either."""

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(call, full)
    with pytest.raises(WorkError, match="the disk is full"):
        write_text_whole(tmp_path / "a.txt", "text")
    assert _names(tmp_path) == []


def test_a_file_where_a_folder_should_be_is_one_clear_error(tmp_path: Path) -> None:
    """Writing below a file names the target and says what to do."""
    (tmp_path / "out").write_text("")
    with pytest.raises(WorkError, match="cannot be written") as caught:
        write_text_whole(tmp_path / "out" / "a.txt", "text")
    assert caught.value.code == "cannot-write"
    assert caught.value.remedy


def test_errors_about_other_files_pass_through(tmp_path: Path) -> None:
    """A missing input of the block is not blamed on the output."""
    with pytest.raises(FileNotFoundError), written_whole(tmp_path / "a.txt"):
        (Path(__file__).parent / "no such input").read_text()


def test_leftovers_of_a_killed_writer_are_removed(tmp_path: Path) -> None:
    """Hidden parts go, files and folders; what the user has there stays."""
    target = tmp_path / "a.mov"
    block = written_whole(target)
    part = block.__enter__()  # left open, as by a kill
    part.write_text("half")
    folder = part.with_name(".tracereel-0123456789ab.old")
    folder.mkdir()
    (folder / "0.png").write_text("")
    (tmp_path / ".tracereel-mine").write_text("")
    assert set(remove_leftovers(tmp_path)) == {part.name, folder.name}
    assert _names(tmp_path) == [".tracereel-mine"]
    assert remove_leftovers(tmp_path / "none") == ()


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    """No line end is changed on the way, and the text is UTF-8."""
    write_text_whole(tmp_path / "a.edl", "Öl\r\n\n")
    assert (tmp_path / "a.edl").read_bytes() == b"\xc3\x96l\r\n\n"


@pytest.mark.parametrize(
    ("size", "text"),
    [(999, "999 bytes"), (1000, "1.0 kB"), (2_340_000_000, "2.3 GB"), (10**12, "1.0 TB")],
)
def test_sizes_are_written_in_decimal_units(size: int, text: str) -> None:
    """Prefixes are the SI's: 1 kB is 1000 bytes (BIPM, SI brochure, 9th edition, table 7)."""
    assert size_text(size) == text


def test_a_scratch_folder_is_hidden_and_goes_in_the_end(tmp_path: Path) -> None:
    """It lies inside the folder, which is made, and counts as a leftover should it survive."""
    with scratch_folder(tmp_path / "out") as scratch:
        (scratch / "part").write_bytes(b"half")
        assert scratch.parent == tmp_path / "out"
        assert is_leftover(scratch.name)
    assert not list((tmp_path / "out").iterdir())


def test_a_scratch_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file where the folder should be is an error with a remedy."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(WorkError) as caught, scratch_folder(tmp_path / "out"):
        pass
    assert caught.value.code == "cannot-write"
