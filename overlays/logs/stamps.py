"""Dates and times of day as text → their fields, a column at a time.

Rows of a logger look alike, so the pattern is matched once for each look (the text with every
digit made 0) and the fields are then cut out of all rows of that look at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.logs.stampwords import plain_stamp

__all__ = [
    "NO_ZONE",
    "Stamps",
    "are_dotted_clocks",
    "dotted_clocks",
    "is_stamp",
    "join_stamps",
    "parse_stamps",
    "read_stamps",
]

NO_ZONE = -9999
"""Zone of a stamp that states none."""

_MONTHS = {
    "jan": 1, "feb": 2, "mar": 3, "mrz": 3, "apr": 4, "may": 5, "mai": 5, "jun": 6,
    "jul": 7, "aug": 8, "sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12,
}  # fmt: skip
# Minutes east of Greenwich. Only the difference between two of them within a file matters.
_ZONES = {
    "z": 0, "utc": 0, "gmt": 0, "wet": 0, "west": 60, "bst": 60, "cet": 60, "cest": 120,
    "eet": 120, "eest": 180, "est": -300, "edt": -240, "cst": -360, "cdt": -300, "mst": -420,
    "mdt": -360, "pst": -480, "pdt": -420,
}  # fmt: skip
_DATE = (
    r"(?:(?P<a>\d{4}|\d{1,2})(?P<mark>[-/.])(?P<b>\d{1,2}|[^\W\d_]{3,9}\.?)(?P=mark)(?P<c>\d{4}|\d{1,2})"
    r"|(?P<compact>\d{8})(?=[T\s]))"
)
_CLOCK = (
    r"(?P<basic>\d{6})(?:[.,](?P<bf>\d{1,9})\d{0,6})?|(?P<h>\d{1,3}):(?P<m>\d{2})(?::(?P<s>\d{2})(?:[.,:](?P<f>\d{1,9})\d{0,6})?"
    r"|[.,](?P<g>\d{1,9})\d{0,6})?(?:\s?(?P<half>[AaPp])\.?\s?[Mm]\.?)?"
)
_ZONE = r"\s?(?P<zone>[Zz]|(?:UTC|GMT)?[+-]\d{1,2}(?::?\d{2})?|[A-Z]{3,4})"
_STAMP = re.compile(rf"(?:{_DATE})?(?:(?:^|[T_]|,?\s)\s*(?:{_CLOCK}))?(?:{_ZONE})?")
_LONGEST = 48
_DOTTED = re.compile(r"\d{1,2}\.\d{2}\.\d{2}")
# Two numbers, with something between them that is neither digit, sign nor decimal mark.
_MAYBE = re.compile(r"\d.*[^\d.,+eE-].*\d")
NS = 10**9


@dataclass(frozen=True, slots=True, eq=False)
class Stamps:
    """Fields of N stamps.

    Parameters
    ----------
    date : ndarray of shape (N, 3)
        The three numbers of the date as written, -1 without a date. A month written in words is
        its number plus 100.
    four_digits : ndarray of shape (N,)
        Which of the three was written with four digits, or -1.
    mark : ndarray of shape (N,)
        Code of the character between them; 0 without.
    clock_ns : ndarray of shape (N,)
        Nanoseconds since midnight; -1 without a time of day.
    colons : ndarray of shape (N,)
        1 where the time of day has two fields and no fraction (hours or minutes first is open),
        2 where it has seconds too; 0 without a time of day.
    zone_min : ndarray of shape (N,)
        Minutes east of Greenwich, or `NO_ZONE`.
    valid : ndarray of shape (N,)
        False where the text is no stamp; the other fields then mean nothing.
    """

    date: NDArray[np.int32]
    four_digits: NDArray[np.int8]
    mark: NDArray[np.int8]
    clock_ns: NDArray[np.int64]
    colons: NDArray[np.int8]
    zone_min: NDArray[np.int32]
    valid: NDArray[np.bool_]

    @classmethod
    def blank(cls, n: int) -> Stamps:
        """Return `n` rows of nothing."""
        return cls(
            np.full((n, 3), -1, np.int32),
            np.full(n, -1, np.int8),
            np.zeros(n, np.int8),
            np.full(n, -1, np.int64),
            np.zeros(n, np.int8),
            np.full(n, NO_ZONE, np.int32),
            np.zeros(n, np.bool_),
        )

    def __len__(self) -> int:
        return len(self.valid)

    def take(self, rows: NDArray[np.bool_]) -> Stamps:
        """Return the rows chosen by a mask."""
        return Stamps(*(getattr(self, name)[rows] for name in self.__slots__))


def join_stamps(parts: Sequence[Stamps]) -> Stamps:
    """Put stamps behind each other."""
    return Stamps(*(np.concatenate([getattr(p, n) for p in parts]) for n in Stamps.__slots__))


def is_stamp(text: str) -> bool:
    """Say whether a stripped cell is a date, a time of day or both."""
    return _match(_plain(text)) is not None


def are_dotted_clocks(cells: Sequence[str]) -> bool:
    """Say whether stamps such as 10.00.00 can only be times of day, and no dates."""
    if not cells or not all(_DOTTED.fullmatch(cell) for cell in cells):
        return False
    stamps = parse_stamps(cells)
    day, month = stamps.date[:, 0], stamps.date[:, 1]
    no_dates = (day < 1) | (day > 31) | (month < 1) | (month > 12)
    return bool(no_dates.any()) and dotted_clocks(stamps) is not None


def dotted_clocks(stamps: Stamps) -> Stamps | None:
    """Read stamps such as 10.00.00 as times of day; None where they are none.

    Some languages part hours, minutes and seconds by points, as others do days, months and years.
    """
    short = (stamps.mark == ord(".")) & (stamps.four_digits < 0) & (stamps.clock_ns < 0)
    hours, minutes, seconds = (stamps.date[:, i].astype(np.int64) for i in range(3))
    if not (short & (hours <= 24) & (minutes < 60) & (seconds < 60)).all():
        return None
    clocks = Stamps.blank(len(stamps))
    clocks.clock_ns[:] = (3600 * hours + 60 * minutes + seconds) * NS
    clocks.colons[:] = 2
    clocks.valid[:] = True
    return clocks


def _plain(text: str) -> str:
    """Put a stamp that is written in words into digits; one that is plain already is left alone."""
    if not 4 < len(text) <= _LONGEST or not _MAYBE.search(text):
        return text
    if text.isascii() and _match(text) is not None:
        return text
    return plain_stamp(text)


def _match(text: str) -> re.Match[str] | None:
    if not 4 < len(text) <= _LONGEST or not text[0].isdigit():
        return None
    match = _STAMP.fullmatch(text)
    if match is None or not (match["h"] or match["a"] or match["basic"]):
        return None
    clock = match["h"] or match["basic"]
    if (match["basic"] and not match["compact"]) or (match["compact"] and not clock):
        return None
    if match["zone"] and (_zone(match["zone"]) is None or not clock):
        return None
    if match["b"] and not match["b"].isdigit() and match["b"][:3].lower() not in _MONTHS:
        return None
    return match


def _zone(text: str) -> int | None:
    low = text.lower()
    if low in _ZONES:
        return _ZONES[low]
    low = low.removeprefix("utc").removeprefix("gmt")
    digits = low[1:].replace(":", "")
    if low[:1] not in {"+", "-"} or not digits.isdigit():
        return None
    hours, minutes = (int(digits[:-2]), int(digits[-2:])) if len(digits) > 2 else (int(digits), 0)
    sign = 1 if low[0] == "+" else -1
    return sign * (60 * hours + minutes) if hours <= 14 and minutes < 60 else None


def parse_stamps(texts: Sequence[str]) -> Stamps:
    """Read stripped cells; see `Stamps` for what comes back."""
    encoded = [_plain(text).encode("utf-8", "replace")[: _LONGEST + 1] for text in texts]
    lengths = np.array([len(cell) for cell in encoded], dtype=np.int64)
    return read_stamps(b"".join(encoded), np.concatenate(([0], np.cumsum(lengths))))


def read_stamps(data: bytes, offsets: NDArray[np.int64]) -> Stamps:
    """Read stamps laid end to end.

    Parameters
    ----------
    data : bytes
        UTF-8 text of all cells.
    offsets : ndarray of shape (N + 1,)
        Where each cell begins; the last is the end of the last.
    """
    stamps = Stamps.blank(len(offsets) - 1)
    buffer = np.frombuffer(data, np.uint8)
    lengths = np.diff(offsets)
    for length in np.unique(lengths):
        if not 4 < length <= _LONGEST:
            continue
        rows = np.flatnonzero(lengths == length)
        block = buffer[offsets[rows][:, None] + np.arange(length)]
        digit = (block >= 48) & (block <= 57)
        looks = np.where(digit, np.uint8(48), block)
        for look, members in _groups(looks):
            _fill(stamps, rows[members], block[members], look)
    return stamps


def _groups(looks: NDArray[np.uint8]) -> list[tuple[bytes, NDArray[np.int64]]]:
    """Group the rows of equal looks; few looks make up nearly all rows."""
    left = np.arange(len(looks))
    found = []
    while left.size:
        same = (looks[left] == looks[left[0]]).all(axis=1)
        found.append((looks[left[0]].tobytes(), left[same]))
        left = left[~same]
        if len(found) > 200:  # not a column of stamps
            break
    return found


def _fill(stamps: Stamps, rows: NDArray[np.int64], block: NDArray[np.uint8], look: bytes) -> None:
    """Cut the fields out of all rows of one look."""
    try:
        match = _match(block[0].tobytes().decode())
    except UnicodeDecodeError:
        return
    if match is None or not look.isascii():
        return

    def field(name: str) -> NDArray[np.int64]:
        start, end = match.span(name)
        digits = block[:, start:end].astype(np.int64) - 48
        return digits @ (10 ** np.arange(end - start - 1, -1, -1, dtype=np.int64))

    stamps.valid[rows] = True
    if match["compact"]:
        whole = field("compact")
        stamps.date[rows] = np.stack([whole // 10000, whole // 100 % 100, whole % 100], axis=1)
        stamps.four_digits[rows] = 0
    elif match["a"]:
        month = match["b"]
        b = field("b") if month.isdigit() else np.full(len(rows), 100 + _MONTHS[month[:3].lower()])
        stamps.date[rows] = np.stack([field("a"), b, field("c")], axis=1)
        stamps.mark[rows] = ord(match["mark"])
        stamps.four_digits[rows] = 0 if len(match["a"]) == 4 else 2 if len(match["c"]) == 4 else -1
    if match["h"] or match["basic"]:
        _clock(stamps, rows, match, field)
    if match["zone"]:
        for text, members in _groups(block[:, slice(*match.span("zone"))]):
            zone = _zone(text.decode())
            stamps.zone_min[rows[members]] = NO_ZONE if zone is None else zone
            stamps.valid[rows[members]] &= zone is not None


def _clock(
    stamps: Stamps,
    rows: NDArray[np.int64],
    match: re.Match[str],
    field: Callable[[str], NDArray[np.int64]],
) -> None:
    """Work out the time of day of all rows of one look."""
    if match["basic"]:
        whole, fraction = field("basic"), match["bf"]
        first, second, third = whole // 10000, whole // 100 % 100, whole % 100
    else:
        first, second, fraction = field("h"), field("m"), match["f"]
        third = field("s") if match["s"] else np.zeros_like(first)
    good = (second < 60) & (third <= 60)  # a leap second is the sixtieth
    if match["g"]:  # minutes:seconds.fraction
        total = (60 * first + second) * NS + field("g") * 10 ** (9 - len(match["g"]))
    else:
        if match["half"]:
            good &= (first >= 1) & (first <= 12)
            first = first % 12 + (12 if match["half"] in "Pp" else 0)
        total = (3600 * first + 60 * second + third) * NS
        if fraction:
            total += field("bf" if match["basic"] else "f") * 10 ** (9 - len(fraction))
    if match["a"] or match["compact"]:
        good &= first <= 24
    stamps.clock_ns[rows] = total
    stamps.colons[rows] = 1 if match["h"] and not (match["s"] or match["g"] or match["half"]) else 2
    stamps.valid[rows] &= good
