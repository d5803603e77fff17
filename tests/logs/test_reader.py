from __future__ import annotations

import os
from pathlib import Path

import pytest

from overlays.errors import LogError
from overlays.logs.reader import read_log


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"\x1f\x8b\x08\x00", "gzip"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", ".xls"),
        (b"\x89PNG\r\n\x1a\n", "PNG"),
        (b"%PDF-1.7\n", "PDF"),
        (b"\x89HDF\r\n\x1a\n", "HDF5"),
        (b"BZh9", "bzip2"),
    ],
)
def test_other_files_are_named(tmp_path: Path, head: bytes, words: str) -> None:
    """A file of another kind is called by its name, and what to do is said."""
    path = tmp_path / "log.csv"
    path.write_bytes(head + b"\0\1\2" * 50)
    with pytest.raises(LogError, match=words) as caught:
        read_log(path, file="log.csv")
    assert caught.value.code == "unknown-layout"


def test_content_tells_not_the_name(tmp_path: Path) -> None:
    """The file's name plays no part."""
    path = tmp_path / "measurement.xlsx"
    path.write_text("t_s,v\n0,1\n1,2\n")
    assert read_log(path, file="measurement.xlsx").layout == "delimited"


@pytest.mark.parametrize("kind", ["missing", "folder", "empty"])
def test_what_cannot_be_opened(tmp_path: Path, kind: str) -> None:
    """A missing file, a folder and an empty file are one clear error each."""
    path = tmp_path / "log.csv"
    if kind == "folder":
        path.mkdir()
    elif kind == "empty":
        path.touch()
    with pytest.raises(LogError) as caught:
        read_log(path, file="log.csv")
    assert caught.value.code == ("empty-log" if kind == "empty" else "log-not-readable")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no named pipes")
def test_a_pipe_does_not_hang(tmp_path: Path) -> None:
    """A named pipe is refused, not waited for."""
    os.mkfifo(tmp_path / "log.csv")
    with pytest.raises(LogError, match="not a file"):
        read_log(tmp_path / "log.csv", file="log.csv")


def test_the_log_is_not_touched(tmp_path: Path) -> None:
    """Reading changes neither the file nor its folder."""
    path = tmp_path / "log.csv"
    path.write_text("t_s,v\n0,1\n1,2\n")
    before = (path.read_bytes(), path.stat().st_mtime_ns, list(tmp_path.iterdir()))
    read_log(path, file="log.csv")
    assert (path.read_bytes(), path.stat().st_mtime_ns, list(tmp_path.iterdir())) == before
