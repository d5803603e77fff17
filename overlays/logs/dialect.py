"""Delimiter and decimal mark of a text log, told by its own cells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from overlays.errors import LogError
from overlays.logs.cells import DecimalVotes, is_missing, is_numeric
from overlays.logs.lines import split
from overlays.logs.measures import is_measure
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


def _share(cells: Sequence[str]) -> float:
    """Return the share of values, if cells look like data: at least half of what is there."""
    there = [cell for cell in cells if not is_missing(cell)]
    values = sum(map(is_value, there))
    if not there or values * 2 < len(there) + (len(there) == 1):
        return 0.0
    return (values + len(cells) - len(there)) / len(cells)


def _share_measured(cells: Sequence[str]) -> float:
    """Return 1 if all cells are values or carry their unit, as no line of a preamble does."""
    there = [cell for cell in cells if not is_missing(cell)]
    return float(bool(there) and all(is_value(cell) or is_measure(cell) for cell in there))


def find_shape(lines: Sequence[str], delimiters: Iterable[str] = _PREFERENCE) -> Shape | None:
    """Find the delimiter under which most lines are rows of one and the same length.

    Numbers that carry their unit count where little else can be made of the lines: a unit behind a
    space looks like a cell of its own.

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
    tried = tuple(delimiters)
    fit, shape = _best(lines, tried, _share)
    if fit * 2 < len(lines):
        fit_measured, measured = _best(lines, tried, _share_measured)
        if fit_measured > fit * 2:
            return measured
    return shape


def _best(
    lines: Sequence[str], delimiters: Sequence[str], share: Callable[[Sequence[str]], float]
) -> tuple[float, Shape | None]:
    """Return the delimiter that fits best, and in how many lines it does."""
    best: tuple[float, Shape | None] = (0.0, None)
    for delimiter in delimiters:
        rows = [cells for line in lines if share(cells := split(line, delimiter))]
        lengths = Counter(len(cells) for cells in rows)
        if not lengths:
            continue
        count, _ = max(lengths.items(), key=lambda item: (item[1], item[0]))
        # A single column is what a wrong delimiter sees, so it counts for less.
        fit = sum(
            share(cells[:count]) for cells in rows if len(cells) >= count and not any(cells[count:])
        ) * (1.0 if count > 1 else 0.25)
        if best[1] is None or fit > best[0] * 1.001:
            best = (fit, Shape(delimiter, count))
    return best


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
