"""The order of the stamps: duplicates, steps back, clock resets, and the segments between."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.notes import NoteBook
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray

__all__ = ["Order", "settle"]

_STRAYS = 2
"""So many rows in a row may lie before an earlier stamp and still count as strays."""
_COARSE_SHARE = 0.5
_COARSE_ROWS = 10
_BACKWARD_SHARE = 0.05
_BACKWARD_ROWS = 20


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """Which rows are kept, and where segments begin.

    Parameters
    ----------
    keep : ndarray of shape (N,)
        False for duplicates and strays.
    starts : tuple of int
        Rows at which a segment begins; the first is 0.
    time_s : ndarray of shape (N,)
        The time, changed only where stamps that are too coarse were spread.
    """

    keep: NDArray[np.bool_]
    starts: tuple[int, ...]
    time_s: FloatArray


def settle(
    time_s: FloatArray,
    breaks: Sequence[int],
    line_of: Callable[[int], int],
    pins: ReadingPins,
    notes: NoteBook,
    *,
    file: str,
) -> Order:
    """Put the rows of a log into segments in which time goes up.

    The rule: a stamp equal to the one before is left out, the first is kept. One or two rows with
    stamps before an earlier one are strays and are left out. A longer stretch of such rows is a
    clock that was reset, and begins a segment. Nothing is sorted.

    Parameters
    ----------
    time_s : ndarray of shape (N,)
        In the order of the file.
    breaks : sequence of int
        Rows before which the header came again.
    line_of : callable
        Line of a row.
    pins : ReadingPins
        ``same_stamp`` is heeded.
    notes : NoteBook
        Told what was left out.
    file : str
        For messages.

    Raises
    ------
    LogError
        If most stamps equal the one before, and it is not pinned what that means; or if so many
        go back that this is no time at all.
    """
    keep = np.ones(len(time_s), np.bool_)
    if (time_s[1:] > time_s[:-1]).all():  # the usual case, at the cost of one pass
        return Order(keep, _with_breaks((0,), breaks, len(time_s)), time_s)
    steps = np.diff(time_s)
    same = np.concatenate(([False], steps == 0))
    if same.sum() >= _COARSE_ROWS and same.sum() >= _COARSE_SHARE * len(time_s):
        if pins.same_stamp is None:
            raise _coarse(int(same.sum()), len(time_s), line_of(int(same.argmax())), file)
        if pins.same_stamp == "spread":
            time_s, same = _spread(time_s), np.zeros_like(same)
            notes.say("stamps too coarse for the rows; rows spread evenly between them")
    if (steps < 0).sum() > max(_BACKWARD_ROWS, _BACKWARD_SHARE * len(time_s)):
        raise _disordered(int((steps < 0).sum()), len(time_s), file)
    notes.say(
        "of equal stamps the first row is kept; one or two rows that go back are left out; a "
        "longer stretch that goes back begins a segment; nothing is sorted"
    )
    starts = _find_resets(time_s, same, keep, line_of, notes, breaks=breaks)
    for row in np.flatnonzero(same & keep):
        message = f"has the same stamp as the row before ({time_s[row]:.12g} s); left out"
        notes.count("lines with a duplicate stamp", line_of(int(row)), message)
    keep &= ~same
    return Order(keep, _with_breaks(starts, breaks, len(time_s)), time_s)


def _with_breaks(starts: Sequence[int], breaks: Sequence[int], n: int) -> tuple[int, ...]:
    return tuple(sorted({*starts, *(row for row in breaks if 0 < row < n)}))


def _find_resets(
    time_s: FloatArray,
    same: NDArray[np.bool_],
    keep: NDArray[np.bool_],
    line_of: Callable[[int], int],
    notes: NoteBook,
    *,
    breaks: Sequence[int],
) -> tuple[int, ...]:
    """Mark strays in `keep`, and return the rows where a segment begins."""
    starts = [0]
    steps = np.diff(time_s)
    ends = [row for row in breaks if 0 < row < len(time_s)]
    for back in sorted({*(np.flatnonzero(steps < 0) + 1).tolist(), *ends}):
        if back in ends:  # where the header came again the clock may begin again too
            starts.append(back)
            continue
        n = next((row for row in ends if row > back), len(time_s))
        kept = _kept_before(back, keep, same, 2)
        if not keep[back] or time_s[back] > time_s[kept[0]]:
            continue
        top = float(time_s[kept[0]])
        # The rows from here on that do not lie beyond what was reached before.
        beyond = np.flatnonzero(time_s[back : min(back + _STRAYS + 1, n)] > top)
        length = int(beyond[0]) if beyond.size else min(_STRAYS + 1, n - back)
        restarts = back + length >= n and time_s[back] <= time_s[starts[-1]]
        if length <= _STRAYS and not restarts:
            for stray in range(back, back + length):
                step = time_s[stray] - top
                message = (
                    f"goes back to {time_s[stray]:.12g} s after {top:.12g} s "
                    f"(a step of {step:.6g} s); left out"
                    if step
                    else f"has the stamp {top:.12g} s again after a step back; left out"
                )
                notes.count("lines with a backward stamp", line_of(stray), message)
                keep[stray] = same[stray] = False
        elif kept[1] >= starts[-1] and time_s[kept[1]] < time_s[back]:
            message = (
                f"jumps ahead to {top:.12g} s between {time_s[kept[1]]:.12g} s and "
                f"{time_s[back]:.12g} s; left out"
            )
            notes.count("lines with a stamp far ahead", line_of(kept[0]), message)
            keep[kept[0]] = False
        else:
            message = (
                f"the clock goes back from {top:.12g} s to {time_s[back]:.12g} s and runs on; "
                "a new segment begins"
            )
            notes.count("clock resets", line_of(back), message)
            starts.append(back)
    return tuple(starts)


def _kept_before(
    row: int, keep: NDArray[np.bool_], same: NDArray[np.bool_], count: int
) -> list[int]:
    """Return the last rows before one that are kept, the nearest first, -1 where there is none."""
    found: list[int] = []
    while len(found) < count:
        row -= 1
        if row < 0:
            found.append(-1)
        elif keep[row] and not same[row]:
            found.append(row)
    return found


def _spread(time_s: FloatArray) -> FloatArray:
    """Spread the rows of equal stamps evenly up to the next stamp."""
    firsts = np.flatnonzero(np.concatenate(([True], np.diff(time_s) != 0)))
    counts = np.diff(np.append(firsts, len(time_s)))
    gaps = np.diff(time_s[firsts])
    last = float(np.median(gaps)) if gaps.size else 1.0
    spans = np.append(gaps, last)
    spans = np.where(spans > 0, spans, last)
    inside = np.arange(len(time_s)) - np.repeat(firsts, counts)
    return np.asarray(time_s + inside * np.repeat(spans / counts, counts))


def _coarse(same: int, n: int, line: int, file: str) -> LogError:
    return LogError(
        f"{same} of {n} rows have the same stamp as the row before: the clock is too coarse for "
        "them.",
        code="coarse-clock",
        remedy='Say same_stamp = "spread" under [reading] in session.toml to spread them evenly '
        'between the stamps, or same_stamp = "keep first" to keep one row a stamp.',
        file=file,
        line=line,
    )


def _disordered(back: int, n: int, file: str) -> LogError:
    return LogError(
        f"the time goes back in {back} of {n} rows, so it is hardly the time.",
        code="disordered-time",
        remedy='Name the right column with time_column = "…" under [reading] in session.toml.',
        file=file,
    )
