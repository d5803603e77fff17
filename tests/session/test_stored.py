"""Small files read whole: plain ones only, and no more than is sensible."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from overlays.errors import OutlineError, SessionError
from overlays.session.stored import kept_bytes, stored_bytes


def test_a_file_is_read_as_it_is(tmp_path: Path) -> None:
    """Up to the limit, every byte."""
    (tmp_path / "a").write_bytes(b"\x00\xff\r\n")
    assert stored_bytes(tmp_path / "a", largest=4) == b"\x00\xff\r\n"


def test_a_file_too_large_is_refused(tmp_path: Path) -> None:
    """One byte more than the limit, or a hole of a thousand million."""
    (tmp_path / "a").write_bytes(b"12345")
    (tmp_path / "b").touch()
    os.truncate(tmp_path / "b", 10**9)
    for name in "ab":
        with pytest.raises(OutlineError, match="larger than 4 bytes") as caught:
            stored_bytes(tmp_path / name, largest=4, raises=OutlineError)
        assert caught.value.code == "file-too-large"


@pytest.mark.skipif(os.name == "nt", reason="no pipes and devices in folders there")
def test_what_never_ends_is_not_opened(tmp_path: Path) -> None:
    """A pipe would wait for a writer, a device goes on for ever; a folder is none either."""
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "device").symlink_to("/dev/zero")
    for name in ("pipe", "folder", "device"):
        with pytest.raises(SessionError) as caught:
            stored_bytes(tmp_path / name, largest=4)
        assert caught.value.code == "not-a-file"


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no such files there")
def test_a_file_that_holds_more_than_it_says_is_read_to_its_end() -> None:
    """As one that grows meanwhile; the system's own files say that they are empty."""
    assert len(stored_bytes(Path("/proc/self/stat"), largest=10_000)) > 20
    with pytest.raises(SessionError, match="larger than 10 bytes"):
        stored_bytes(Path("/proc/self/stat"), largest=10)


@pytest.mark.skipif(os.name == "nt", reason="no pipes and devices in folders there")
def test_what_is_kept_and_is_no_plain_file_counts_as_none(tmp_path: Path) -> None:
    """A hidden file of ours that a stranger made a pipe or a device is not waited for."""
    (tmp_path / "file").write_bytes(b"kept")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "device").symlink_to("/dev/zero")
    read = [kept_bytes(tmp_path / name) for name in ("file", "pipe", "device", "gone")]
    assert read == [b"kept", b"", b"", b""]
