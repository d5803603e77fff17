"""Where each key of a TOML document stands, which `tomllib` does not tell.

The document has been read by `tomllib` before it comes here, so it is known to be well formed and
a light scan is enough.
"""

from __future__ import annotations

import re
from contextlib import suppress

__all__ = ["key_lines"]

_KEY_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_KEY = re.compile(rf"\s*({_KEY_PART}(?:\s*\.\s*{_KEY_PART})*)\s*")
_PART = re.compile(_KEY_PART)
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'', re.DOTALL
)
# A date and its time of day may be parted by a space.
_BARE = re.compile(r"\d{4}-\d\d-\d\d \d\d:[^\s,\]}#]*|[^\s,\]}#]+")
_BLANK = re.compile(r"(?:\s|#[^\n]*)*")


def key_lines(text: str) -> dict[str, int]:
    r"""Return the line of every key and table of a document.

    Parameters
    ----------
    text : str
        A well-formed TOML document.

    Returns
    -------
    dict of str to int
        Dotted key → line, counted from 1. A key of an inline table has the line it is written
        on; an item of an array of tables is counted in: ``beat.0.title``.

    Examples
    --------
    >>> key_lines("[zero]\nend = '0 s'\ntrigger = { level = '3 N*m' }")
    {'zero': 1, 'zero.end': 2, 'zero.trigger': 3, 'zero.trigger.level': 3}
    """
    scan = _Scan(text)
    with suppress(RecursionError):  # brackets a thousand deep: lines up to there will do
        scan.document()
    return scan.lines


class _Scan:
    """One walk over the text; `place` is always between two things."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.place = 0
        self.lines: dict[str, int] = {}
        self.counts: dict[str, int] = {}
        self._counted, self._line = 0, 1

    def document(self) -> None:
        table = ""
        while self._skip_blank():
            if self.text.startswith("[[", self.place):
                self.place += 2
                table = self._key()
                count = self.counts[table] = self.counts.get(table, -1) + 1
                table = f"{table}.{count}"
                self._record(table)
                self.place += 2
            elif self.text[self.place] == "[":
                self.place += 1
                table = self._key()
                self._record(table)
                self.place += 1
            else:
                self._pair(table)

    def _skip_blank(self) -> bool:
        match = _BLANK.match(self.text, self.place)
        self.place = match.end() if match else self.place
        return self.place < len(self.text)

    def _record(self, key: str) -> None:
        # Counted on from the last key, so that a long document takes no longer than it is long.
        if self.place < self._counted:
            self._counted, self._line = 0, 1
        self._line += self.text.count("\n", self._counted, self.place)
        self._counted = self.place
        self.lines.setdefault(key, self._line)

    def _key(self) -> str:
        match = _KEY.match(self.text, self.place)
        if match is None:  # cannot be in a well-formed document
            self.place = len(self.text)
            return ""
        self.place = match.end()
        return ".".join(part.strip("\"'") for part in _PART.findall(match[1]))

    def _pair(self, table: str | None) -> None:
        """Step over a key and its value; record them unless they lie within an array."""
        at = self.place
        key = self._key()
        after, self.place = self.place, at
        full = None if table is None else ".".join(part for part in (table, key) if part)
        if full is not None:
            self._record(full)
        self.place = after + 1  # the equals sign
        self._value(full)

    def _value(self, key: str | None) -> None:
        self._skip_blank()
        opening = self.text[self.place : self.place + 1]
        if opening in {"{", "["}:
            self._group(opening, key)
        elif match := _STRING.match(self.text, self.place) or _BARE.match(self.text, self.place):
            self.place = match.end()
        else:  # cannot be in a well-formed document
            self.place = len(self.text)

    def _group(self, opening: str, key: str | None) -> None:
        """Step over an array, or over an inline table with its keys recorded."""
        closing = "}" if opening == "{" else "]"
        self.place += 1
        while self._skip_blank() and self.text[self.place] != closing:
            if self.text[self.place] == ",":
                self.place += 1
            elif opening == "[":
                self._value(None)
            else:
                self._pair(key)
        self.place += 1
