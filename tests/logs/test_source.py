from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import LogError
from overlays.logs.source import HEAD, LONGEST_LINE, TextLines, TextSource, cannot_read, open_text


def source(folder: Path, data: bytes, encoding: str | None = None) -> TextSource:
    path = folder / "a.csv"
    path.write_bytes(data)
    return open_text(path, file="a.csv", head=data[:HEAD], encoding=encoding)


@pytest.mark.parametrize(
    ("data", "encoding", "guessed"),
    [
        (b"t,v\n0,1\n", "utf-8", False),
        ("t,°C\n".encode(), "utf-8", False),
        ("t,°C\n".encode("utf-8-sig"), "utf-8", False),
        ("t,°C\n".encode("cp1252"), "cp1252", True),
        ("t,v\n".encode("utf-16-le"), "utf-16-le", True),
        ("t,v\n".encode("utf-16-be"), "utf-16-be", True),
        (b"\xff\xfe" + "t,v\n".encode("utf-16-le"), "utf-16-le", False),
        ("t,v\n".encode("utf-32"), "utf-32-le", False),
    ],
)
def test_encoding(tmp_path: Path, data: bytes, encoding: str, *, guessed: bool) -> None:
    """A mark, zero bytes or bytes that UTF-8 lacks tell the encoding."""
    found = source(tmp_path, data)
    assert (found.encoding, found.guessed) == (encoding, guessed)


@pytest.mark.parametrize("size", [1, 3, 7, 1000])
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "utf-16", "utf-16-be"])
def test_blocks_are_the_file(tmp_path: Path, encoding: str, size: int) -> None:
    """Blocks end with lines, and together they are the file in UTF-8."""
    text = "t,°C\n0,1\n1,22222\n2,3"
    found = source(tmp_path, text.encode(encoding), "cp1252" if encoding == "cp1252" else None)
    if found.encoding == "cp1252" and encoding != "cp1252":
        pytest.skip("read as another encoding")
    blocks = list(found.blocks(size))
    assert b"".join(blocks).decode() == text
    assert all(block.endswith(b"\n") for block in blocks[:-1])
    # A last line without an end comes with the line before it.
    assert blocks[-1].count(b"\n") > 0


def test_returns_alone(tmp_path: Path) -> None:
    """Carriage returns alone end lines too."""
    found = source(tmp_path, b"t,v\r0,1\r")
    assert found.head() == ["t,v", "0,1"]


def test_sample_of_a_long_file(tmp_path: Path) -> None:
    """Whole lines from the middle and the end stand for the rest of a long file."""
    lines = [f"{i},{i}" for i in range(60000)]
    found = source(tmp_path, "\n".join(lines).encode())
    assert set(found.sample()) <= set(lines)
    assert len(found.sample()) > 1000
    assert found.head()[0] == "0,0"


def test_pinned_encoding(tmp_path: Path) -> None:
    """A pinned encoding is taken; one that is not known is an error."""
    assert source(tmp_path, "t,ж\n".encode("cp1251"), "windows-1251").head() == ["t,ж"]
    assert source(tmp_path, b"\xef\xbb\xbft", "utf-8-sig").head() == ["t"]
    for name in ("no-such", "rot13", "hex"):
        with pytest.raises(LogError, match="not a text encoding"):
            source(tmp_path, b"t,v\n", name)


@pytest.mark.parametrize(
    "name",
    ["idna", "punycode", "undefined", "unicode_escape", "raw_unicode_escape", "utf-7", "hz",
     "cp037", "palmos\0", "x" * 10_000, "../a"],
)  # fmt: skip
def test_encodings_of_something_else_are_refused(tmp_path: Path, name: str) -> None:
    """Names of hosts, program text, mail: not what loggers write, and some take hours or fail."""
    with pytest.raises(LogError) as caught:
        source(tmp_path, b"t,v\n", name)
    assert caught.value.code == "unknown-encoding"
    assert len(caught.value.message) < 200


@pytest.mark.parametrize(
    "name",
    ["utf-8", "cp1252", "latin-1", "cp1251", "big5", "shift_jis", "gbk", "koi8-r", "mac-roman"],
)
def test_encodings_of_text_are_taken(tmp_path: Path, name: str) -> None:
    """Python's list of standard encodings, those that loggers of some country write."""
    assert source(tmp_path, "t,v\n0,1\n".encode(name), name).head() == ["t,v", "0,1"]


def test_wide_text_without_its_mark_is_told(tmp_path: Path) -> None:
    """Pinned as UTF-16 of whatever order, a file must say the order (RFC 2781, 3.2)."""
    found = source(tmp_path, b"t,v\n0,1\n", "utf-16")
    with pytest.raises(LogError, match="does not fit") as caught:
        list(found.blocks())
    assert caught.value.code == "unknown-encoding"


def test_binary_is_refused(tmp_path: Path) -> None:
    """What is no text is an error; NUL bytes alone are damage."""
    with pytest.raises(LogError, match="not a text file"):
        source(tmp_path, bytes(range(256)) * 20)
    assert source(tmp_path, b"t,v\n\0\0\0\n0,1\n").encoding == "utf-8"


def test_endless_line_is_refused(tmp_path: Path) -> None:
    """A file without lines is an error before the memory is full."""
    for data in (b"1," * (3 << 20), b"t,v\n" + b"1," * LONGEST_LINE + b"\n0,1\n"):
        with pytest.raises(LogError, match="longer than"):
            list(source(tmp_path, data).blocks(1 << 20))


def test_lines_of_another_layout() -> None:
    """Lines made from a spreadsheet behave like a file."""
    lines = TextLines("a.xlsx", tuple(f"{i}\t{i}" for i in range(1000)))
    assert b"".join(lines.blocks(100)).decode().splitlines() == list(lines.lines)
    assert lines.head()[0] == "0\t0"
    assert set(lines.sample()) <= set(lines.lines)


def test_cannot_read() -> None:
    """The system's own words are told."""
    error = cannot_read("a.csv", PermissionError(13, "Permission denied"))
    assert "Permission denied" in error.message
