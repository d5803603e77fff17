"""Delimiter and decimal mark of a text log, told by its own cells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from overlays.errors import LogError
from overlays.logs.cells import DecimalVotes, is_missing, is_numeric
from overlays.logs.lines import split
from overlays.logs.stamps import is_stamp
from overlays.numbers import counted

__all__ = ["DELIMITER_WORDS", "Shape", "decide_decimal", "find_shape", "is_value", "votes_of"]

DELIMITER_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", " ": "spaces", "|": "bar"}
_PREFERENCE = ("\t", ";", "|", ",", " ")


@dataclass(frozen=True, slots=True)
class Shape:
    """How the rows of a file are cut: the delimiter, and how many cells a row has."""

    delimiter: str
    cells: int


def is_value(cell: str) -> bool:
    """Say whether a stripped cell can stand in a row of data: number, stamp or nothing."""
    return is_missing(cell) or is_numeric(cell) or is_stamp(cell)


def _is_row(cells: Sequence[str]) -> bool:
    """Say whether cells look like data: something in them, and at least half of it values."""
    there = [cell for cell in cells if not is_missing(cell)]
    return bool(there) and sum(map(is_value, there)) * 2 >= len(there) + (len(there) == 1)


def find_shape(lines: Sequence[str], delimiters: Iterable[str] = _PREFERENCE) -> Shape | None:
    """Find the delimiter under which most lines are rows of one and the same length.

    Parameters
    ----------
    lines : sequence of str
        A sample of the file's lines; preamble and damage among them do no harm.
    delimiters : iterable of str
        Which to try; where two fit equally, the earlier is taken.

    Returns
    -------
    Shape or None
        None where no delimiter gives rows.
    """
    best: tuple[float, Shape] | None = None
    for delimiter in delimiters:
        rows = [cells for line in lines if _is_row(cells := split(line, delimiter))]
        lengths = Counter(len(cells) for cells in rows)
        if not lengths:
            continue
        count, times = max(lengths.items(), key=lambda item: (item[1], item[0]))
        # A single column is what a wrong delimiter sees, so it counts for less.
        fit = sum(
            sum(map(is_value, cells[:count])) / count
            for cells in rows
            if len(cells) >= count and not any(cells[count:])
        ) * (1.0 if count > 1 else 0.25)
        if times and (best is None or fit > best[0] * 1.001):
            best = (fit, Shape(delimiter, count))
    return best[1] if best else None


def votes_of(rows: Iterable[Sequence[str]]) -> DecimalVotes:
    """Count what the cells of some rows say about the decimal mark."""
    votes = DecimalVotes()
    for cells in rows:
        for cell in cells:
            if not is_stamp(cell):
                votes.add(cell)
    return votes


def decide_decimal(votes: DecimalVotes, delimiter: str, *, file: str) -> str:
    """Decide the decimal mark, or ask.

    Raises
    ------
    LogError
        If the cells say both, or could be read either way.
    """
    remedy = 'Say which it is: decimal = "." or decimal = "," under [reading] in session.toml.'
    if votes.point and votes.comma:
        raise LogError(
            f"there are {counted(votes.point, 'cell')} with a decimal point, and {votes.comma} "
            "with a decimal comma.",
            code="two-decimal-marks",
            remedy=remedy,
            file=file,
        )
    if votes.point or votes.comma:
        return "." if votes.point else ","
    if delimiter == "," and not votes.unclear_comma:
        return "."
    if votes.unclear_point or votes.unclear_comma:
        mark = "point" if votes.unclear_point else "comma"
        raise LogError(
            f"{votes.example!r} can be read with a decimal {mark}, or with a {mark} that groups "
            "thousands, and nothing else in the file decides.",
            code="unclear-decimal-mark",
            remedy=remedy,
            file=file,
        )
    return "."
