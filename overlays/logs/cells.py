"""What one cell of a text log can hold: nothing, a number, or words.

A cell is read by its shape. Only two marks can separate decimals, ``.`` and ``,``; the other one,
a space or an apostrophe can group thousands.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["MISSING", "DecimalVotes", "is_missing", "is_numeric", "number"]

MISSING = (
    "", "nan", "NaN", "NAN", "na", "NA", "n/a", "N/A", "#N/A", "null", "NULL", "Null", "none",
    "None", "NONE", "nil", "-", "--", "---", "----", "-----", "?", "*", "***", ".", "..", "...",
)  # fmt: skip
"""What loggers write where there is nothing. Read as a gap without a word."""

_NOTHING = re.compile(r"[-–—?*._#]*|(?i:[-+]?nan|#?n/?a|null|none|nil)", re.ASCII)
_GROUPS = (
    " '\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}\N{RIGHT SINGLE QUOTATION MARK}"
)
_EXPONENT = r"(?:[eE][+-]?\d{1,4})?"
_SIGN = "[+\\-\N{MINUS SIGN}\N{EN DASH}]?"


def _shape(decimal: str) -> re.Pattern[str]:
    other = "," if decimal == "." else "."
    grouped = rf"[1-9]\d{{0,2}}(?:([{_GROUPS}{re.escape(other)}])\d{{3}}(?:\1\d{{3}})*)"
    if decimal == ".":  # India groups the last three digits, then pairs (CLDR, en_IN)
        grouped = rf"{grouped}|[1-9]\d?(?:,\d{{2}})+,\d{{3}}"
    mark = re.escape(decimal)
    return re.compile(rf"{_SIGN}(?:(?:{grouped}|\d+)(?:{mark}\d*)?|{mark}\d+){_EXPONENT}", re.ASCII)


_SHAPES = {mark: _shape(mark) for mark in ".,"}
_UNGROUP = {
    mark: str.maketrans("", "", _GROUPS + other) for mark, other in ((".", ","), (",", "."))
}
_MINUS = str.maketrans("\N{MINUS SIGN}\N{EN DASH}", "--")
_LONGEST = 60
# IEEE-488.2 instruments write these for "not a number" and "infinity" (SCPI-1999, volume 1,
# section 7.2.1.4; from memory).
_SCPI_NOTHING = (9.91e37, 9.9e37)


# The same cells are looked at under every delimiter that is tried.
@lru_cache(maxsize=1 << 15)
def is_missing(cell: str) -> bool:
    """Say whether a stripped cell stands for a missing value."""
    return _NOTHING.fullmatch(cell) is not None


@lru_cache(maxsize=1 << 15)
def is_numeric(cell: str) -> bool:
    """Say whether a stripped cell is a number with either decimal mark."""
    return len(cell) <= _LONGEST and any(shape.fullmatch(cell) for shape in _SHAPES.values())


def number(cell: str, decimal: str) -> float | None:
    """Read one stripped cell.

    Parameters
    ----------
    cell : str
        The cell, without surrounding spaces.
    decimal : {".", ","}
        The decimal mark.

    Returns
    -------
    float or None
        NaN where the cell stands for a missing value; None where it is something else than a
        finite number, which somebody should be told.

    Examples
    --------
    >>> number("1.013,25", ","), number("1 013.25", "."), number("ERR", ".")
    (1013.25, 1013.25, None)
    """
    if decimal == "." or "." not in cell:
        plain = cell if decimal == "." else cell.replace(",", ".")
        try:
            value = float(plain)
        except ValueError:
            pass  # grouped, missing, or words: looked at below
        else:
            # Python also takes 1_000, digits of other scripts, and names of no finite number.
            odd = "_" in cell or not cell.isascii() or len(cell) > _LONGEST
            if not odd and math.isfinite(value) and not (decimal == "," and "," in plain):
                return _finite(value)
    if is_missing(cell):
        return math.nan
    if len(cell) > _LONGEST or not _SHAPES[decimal].fullmatch(cell):
        return None
    plain = cell.translate(_UNGROUP[decimal]).translate(_MINUS)
    return _finite(float(plain.replace(",", ".")))


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) and abs(value) not in _SCPI_NOTHING else None


_DOT_IS_DECIMAL = re.compile(
    r"0*\.\d*|0\d*+\.\d*|\d*\.\d{0,2}|\d*\.\d{4,}|\d{4,}\.\d{3}|\d{1,3}(?:,\d{3})+\.\d*", re.ASCII
)
_PAIRS = re.compile(r"[1-9]\d?(?:,\d{2})+,\d{3}(?:\.\d*)?", re.ASCII)
_DOT_GROUPS = re.compile(r"\d{1,3}(?:\.\d{3}){2,}", re.ASCII)
_DOT_UNCLEAR = re.compile(r"\d{1,3}\.\d{3}", re.ASCII)
_SWAP = str.maketrans(".,", ",.")


@dataclass(slots=True)
class DecimalVotes:
    """What the cells of a file say about its decimal mark.

    A cell like ``1.250`` alone says nothing: it is 1.25 with a decimal point and 1250 with a
    grouping one. ``0.250``, ``12.5``, ``1234.567`` and ``1.250e3`` can only be decimal,
    ``1.250.000`` and ``1.250,5`` only grouped.

    Parameters
    ----------
    point, comma : int
        Cells that can only be read with that decimal mark.
    unclear_point, unclear_comma : int
        Cells in which that mark can be either.
    example : str
        One unclear cell.
    """

    point: int = 0
    comma: int = 0
    unclear_point: int = 0
    unclear_comma: int = 0
    example: str = ""

    def add(self, cell: str) -> None:
        """Count a stripped cell; what is no number says nothing."""
        body = cell.lstrip("+-\N{MINUS SIGN}\N{EN DASH}")
        mantissa, mark, _ = body.replace("E", "e").partition("e")
        if not mantissa or not (mantissa[0].isdigit() or mantissa[0] in ".,"):
            return
        for group in _GROUPS:
            mantissa = mantissa.replace(group, "")
        with_point, with_comma = "." in mantissa, "," in mantissa
        if not (with_point or with_comma) or not is_numeric(cell):
            return
        swapped = mantissa.translate(_SWAP)
        if _PAIRS.fullmatch(mantissa):
            self._vote(".")
        elif mark or _DOT_IS_DECIMAL.fullmatch(mantissa) or _DOT_IS_DECIMAL.fullmatch(swapped):
            decimal = max(mantissa.rfind("."), mantissa.rfind(","))
            self._vote(mantissa[decimal])
        elif _DOT_GROUPS.fullmatch(mantissa) or _DOT_GROUPS.fullmatch(swapped):
            self._vote("," if with_point else ".")
        elif _DOT_UNCLEAR.fullmatch(mantissa):
            self.unclear_point, self.example = self.unclear_point + 1, cell
        elif _DOT_UNCLEAR.fullmatch(swapped):
            self.unclear_comma, self.example = self.unclear_comma + 1, cell

    def _vote(self, mark: str) -> None:
        if mark == ".":
            self.point += 1
        else:
            self.comma += 1
