"""Cells that carry their unit in every row: ``1.5 V``, ``12,3 N``."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache

from overlays.logs.cells import is_missing, is_numeric
from overlays.logs.unitspelling import measure_alike
from overlays.logs.unitwords import is_unit, unit_text

__all__ = ["bare", "is_measure", "units_in", "without_unit"]

# Whether the first part is a number, `is_numeric` says; here is only told where it ends.
_MEASURE = re.compile(
    r"(?P<number>[^\w\s]?[\d.,'\N{RIGHT SINGLE QUOTATION MARK}\s]*\d[.,]?(?:[eE][+-]?\d{1,4})?)"
    r"\s*(?P<unit>(?:[^\W\d_]|[%‰°])\S{0,11})"
)


# A column has few numbers that recur, but its first rows are looked at several times.
@lru_cache(maxsize=1 << 12)
def _unit(cell: str) -> str | None:
    """Return the unit behind a number, as the cell writes it; None where there is none."""
    match = _MEASURE.fullmatch(cell)
    if match is None or not is_numeric(match["number"].strip()) or not is_unit(match["unit"]):
        return None
    return match["unit"]


def is_measure(cell: str) -> bool:
    """Say whether a stripped cell is a number followed by a unit that is known."""
    return _unit(cell) is not None


def units_in(rows: Sequence[Sequence[str]], cells: int) -> dict[int, str]:
    """Find the columns whose cells carry their unit, and the one that most of them carry.

    Parameters
    ----------
    rows : sequence of sequence of str
        A sample of rows, names and damage among them.
    cells : int
        How many cells each of them has.

    Returns
    -------
    dict of int to str
        By column, the unit as the cells write it. Half of the cells there have to carry it, or
        another of the same quantity; labels such as 1A, 1B, 1C do not.
    """
    found: dict[int, str] = {}
    for j in range(cells):
        there = [row[j] for row in rows if not is_missing(row[j])]
        carried = Counter(unit for cell in there if (unit := _unit(cell)) is not None)
        if not carried:
            continue
        unit = carried.most_common(1)[0][0]
        alike = sum(count for other, count in carried.items() if _alike(unit, other))
        if alike * 2 >= len(there):
            found[j] = unit
    return found


def _alike(a: str, b: str) -> bool:
    return a == b or measure_alike(unit_text(a) or "", unit_text(b) or "")


def without_unit(cell: str, unit: str) -> str | None:
    """Take the unit off a stripped cell; None where something else stands there."""
    if is_missing(cell):
        return cell
    return cell.removesuffix(unit).rstrip() if cell.endswith(unit) else None


def bare(cells: Sequence[str], units: Mapping[int, str]) -> list[str]:
    """Take the units off the cells of a row that are numbers then; others stay as they are."""
    plain = list(cells)
    for j, unit in units.items():
        if j < len(plain) and (number := without_unit(plain[j], unit)) and is_numeric(number):
            plain[j] = number
    return plain
