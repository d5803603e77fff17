"""A text file → its encoding, and its lines in blocks of UTF-8.

A file is never held whole: what follows works block by block, each ending with a line.
"""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

from overlays.errors import LogError
from overlays.logs.encoding import encoding_of

__all__ = [
    "BLOCK",
    "HEAD",
    "LONGEST_LINE",
    "LineSource",
    "TextLines",
    "TextSource",
    "cannot_read",
    "open_text",
]

BLOCK = 4 << 20
HEAD = 256 << 10
_PROBE = 32 << 10
_TAIL = 64 << 10
_LINES = 400
LONGEST_LINE = 256 << 10  # bytes; five thousand cells of fifty
# What an encoding of text leaves as it is. Others are for names of hosts, for program text or mail.
_SAME = bytes(range(32, 127)).replace(b"\\", b"") + b"\r\n\t +AGE- ~{<:~} \\u0041 xn--a"
_WIDE = ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark begins it
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_ODD = dict.fromkeys([*(set(range(32)) - set(b"\t\r\n\f\v")), 0xFFFD])
_EVERY_CR = bytes.maketrans(b"\r", b"\n")


class LineSource(Protocol):
    """Lines of text, in blocks, whatever they come from."""

    @property
    def file(self) -> str:
        """Name of the file as the user knows it."""
        ...

    @property
    def size(self) -> int:
        """Size in bytes, about."""
        ...

    def blocks(self, size: int = BLOCK) -> Iterator[bytes]:
        """Give everything as blocks of UTF-8 that end with a line feed, but perhaps the last."""
        ...

    def head(self) -> list[str]:
        """Return the first lines without their ends."""
        ...

    def sample(self) -> list[str]:
        """Return whole lines from further down, if there are any."""
        ...


@dataclass(frozen=True, slots=True)
class TextLines:
    """Lines made from another layout's cells.

    Parameters
    ----------
    file : str
        Name of the file as the user knows it.
    lines : tuple of str
        Without their ends.
    """

    file: str
    lines: tuple[str, ...]

    @property
    def size(self) -> int:
        """Size in bytes, about."""
        return sum(map(len, self.lines)) + len(self.lines)

    def blocks(self, size: int = BLOCK) -> Iterator[bytes]:
        """Give everything as blocks of UTF-8."""
        step = max(1, size * len(self.lines) // max(1, self.size))
        for start in range(0, len(self.lines), step):
            yield ("\n".join(self.lines[start : start + step]) + "\n").encode()

    def head(self) -> list[str]:
        """Return the first lines."""
        return list(self.lines[:_LINES])

    def sample(self) -> list[str]:
        """Return lines from the middle and the end."""
        rest = self.lines[_LINES:]
        return [*rest[len(rest) // 2 :][:_LINES], *rest[-_LINES:]]


@dataclass(frozen=True, slots=True)
class TextSource:
    """A text file whose encoding is known.

    Parameters
    ----------
    path : Path
        The file.
    file : str
        Its name as the user knows it.
    encoding : str
        A codec's name.
    mark : bytes
        The byte-order mark in front, to be skipped.
    only_cr : bool
        Whether lines end with a carriage return alone.
    size : int
        Of the file, in bytes.
    guessed : bool
        Whether the encoding was concluded from bytes that UTF-8 does not have.
    """

    path: Path
    file: str
    encoding: str
    mark: bytes
    only_cr: bool
    size: int
    guessed: bool

    def blocks(self, size: int = BLOCK) -> Iterator[bytes]:
        """Give the whole file as blocks of UTF-8 that end with a line feed, but perhaps the last.

        Raises
        ------
        LogError
            If a line is longer than any log's, or the file cannot be read on.
        """
        ready, rest = b"", b""
        for piece in self._pieces(size):
            end = piece.rfind(b"\n") + 1
            if not end:
                rest += piece
                if len(rest) > LONGEST_LINE:
                    raise self._no_lines()
                continue
            if _holds_long_line(piece):
                raise self._no_lines()
            if ready:
                yield ready
            ready, rest = rest + piece[:end], piece[end:]
        # A last line without an end stays with those before it, which show whether it was cut.
        if ready or rest:
            yield ready + rest

    def head(self) -> list[str]:
        """Return the first lines (about 256 KiB of them), decoded, without their ends."""
        return _lines(next(self.blocks(HEAD), b""))

    def sample(self) -> list[str]:
        """Return whole lines from the middle and the end of a file that is longer than its head."""
        if self.size <= HEAD or self.encoding not in {"utf-8", "cp1252"}:
            return []
        found: list[str] = []
        with self.path.open("rb") as stream:
            for start in (self.size // 2, self.size - _PROBE):
                stream.seek(start)
                block = self._as_utf8(stream.read(_PROBE))
                found += _lines(block)[1:-1]
        return found

    def _pieces(self, size: int) -> Iterator[bytes]:
        try:
            with self.path.open("rb") as stream:
                stream.seek(len(self.mark))
                if self.encoding in {"utf-8", "cp1252"}:
                    while data := _read_lines(stream, size):
                        yield self._as_utf8(data)
                    return
                decoder = codecs.getincrementaldecoder(self.encoding)("replace")
                while data := stream.read(size):
                    yield self._line_ends(decoder.decode(data).encode("utf-8", "replace"))
                yield decoder.decode(b"", final=True).encode("utf-8", "replace")
        except OSError as error:
            raise cannot_read(self.file, error) from error
        except UnicodeError as error:
            # UTF-16 and UTF-32 without an order of bytes want a mark in front.
            raise _unknown_encoding(self.encoding, self.file, f"does not fit: {error}") from error

    def _as_utf8(self, data: bytes) -> bytes:
        if self.encoding == "cp1252" and not data.isascii():
            data = data.decode("cp1252", "replace").encode()
        return self._line_ends(data)

    def _line_ends(self, data: bytes) -> bytes:
        return data.translate(_EVERY_CR) if self.only_cr else data

    def _no_lines(self) -> LogError:
        return LogError(
            f"a line is longer than {LONGEST_LINE >> 10} KiB, so this is hardly a log.",
            code="no-lines",
            remedy="Check what the logger wrote; a log has one line for each sample.",
            file=self.file,
        )


def cannot_read(file: str, error: OSError) -> LogError:
    """Say that a file cannot be opened or read on."""
    return LogError(
        f"the log cannot be read: {error.strerror or error}.",
        code="log-not-readable",
        remedy="Check the file's name and rights, and the disk it lies on.",
        file=file,
    )


def open_text(path: Path, *, file: str, head: bytes, encoding: str | None) -> TextSource:
    """Find out a text file's encoding and line ends.

    Parameters
    ----------
    path : Path
        The file.
    file : str
        Its name as the user knows it.
    head : bytes
        Its first 256 KiB, or all of it.
    encoding : str or None
        The encoding, where it is pinned.

    Raises
    ------
    LogError
        If this is no text, or the pinned encoding is none that is known.
    """
    mark = next((mark for mark, _ in _MARKS if head.startswith(mark)), b"")
    if encoding is not None:
        found, guessed = _known(encoding, file), False
    elif mark:
        found, guessed = dict(_MARKS)[mark], False
    else:
        found, guessed = encoding_of(head)
    text = head[len(mark) :].decode(found, "replace")
    if len(head) < HEAD and not text.strip("\ufeff \t\r\n"):
        what = "only blank lines" if len(text) else "only a byte-order mark"
        raise LogError(
            f"the file is empty: it holds {what}.",
            code="empty-log",
            remedy="Copy it from the logger again, or leave the run out.",
            file=file,
        )
    if _is_binary(text):
        raise LogError(
            "this is not a text file, nor any other kind of log that is known.",
            code="unknown-layout",
            remedy="Export the log as delimited text, a spreadsheet (.xlsx), Parquet or MDF 4.",
            file=file,
        )
    only_cr = "\n" not in text and "\r" in text
    return TextSource(path, file, found, mark, only_cr, path.stat().st_size, guessed)


def _read_lines(stream: BinaryIO, size: int) -> bytes:
    """Read up to the last line end within `size` bytes, or so many where there is none near.

    The end is looked for before anything is read, for cutting and joining megabytes costs a tenth
    of all the reading.
    """
    start, tail = stream.tell(), min(size, _TAIL)
    stream.seek(start + size - tail)
    end = stream.read(tail).rfind(b"\n") + 1
    stream.seek(start)
    return stream.read(size - tail + end if end else size)


def _holds_long_line(block: bytes) -> bool:
    """Say whether some line in a block is too long, by looking at a few places of it only."""
    at = 0
    while len(block) - at > LONGEST_LINE:
        end = block.rfind(b"\n", at, at + LONGEST_LINE)
        if end < 0:
            return True
        at = end + 1
    return False


def _known(encoding: str, file: str) -> str:
    try:
        name = codecs.lookup(encoding).name
        "".encode(name)
    except (LookupError, UnicodeError, ValueError) as error:
        raise _unknown_encoding(encoding, file, "is not a text encoding that is known") from error
    if name == "idna" or (name not in _WIDE and not _keeps_ascii(name)):
        raise _unknown_encoding(encoding, file, "is no encoding that logs are written in")
    return "utf-8" if name == "utf-8-sig" else name


def _keeps_ascii(name: str) -> bool:
    """Say whether the letters, digits and marks of ASCII are themselves in an encoding."""
    try:
        return _SAME.decode(name) == _SAME.decode("ascii")
    except (UnicodeError, ValueError):
        return False


def _unknown_encoding(encoding: str, file: str, why: str) -> LogError:
    return LogError(
        f"{encoding[:60]!r} {why}.",
        code="unknown-encoding",
        remedy='Use a name like "utf-8", "utf-16-le" or "cp1252" in [reading].',
        file=file,
        field="reading.encoding",
    )


def _is_binary(text: str) -> bool:
    """Say whether text holds what no log does; NUL blocks alone are damage, not a sign."""
    sample = text[:65536].replace("\0", "")
    if not sample:
        return True
    odd = len(sample) - len(sample.translate(_ODD))
    return odd > 0.05 * len(sample) + 4


def _lines(block: bytes) -> list[str]:
    text = block.decode("utf-8", "replace").replace("\r\r\n", "\n").replace("\r\n", "\n")
    return text.removesuffix("\n").split("\n")
