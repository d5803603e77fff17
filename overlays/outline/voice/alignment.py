"""Which word of the script is which word of the captions.

Three steps, coarse to fine. Rows of four, three, then two words that occur once in the script are
looked up among what was heard; of all those rows the longest chain that runs forward in both is
kept, and where a passage was said twice the later take wins. What lies between two links is
aligned word by word, by how alike the words are (rapidfuzz) and whether their neighbours go
together, after Needleman & Wunsch (1970). A word nobody said, or a passage nobody wrote, stays
without a partner.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["Match", "align", "likeness"]

_ROWS = (4, 3, 2)
_MOST_TAKES = 4
_SMALL = 400
_LARGE, _MOST_CELLS = 60_000, 3_000_000  # what a second or two of work may take
_ALIKE = 0.7
_SLOT, _TOGETHER, _EDGE = 0.12, 0.15, 0.1
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Match:
    """A word of the script and the word heard for it.

    Parameters
    ----------
    heard : int
        Index of the heard word.
    likeness : float
        How alike they are, 0 to 1.
    """

    heard: int
    likeness: float


@dataclass(frozen=True, slots=True)
class _Run:
    """A row of words found in both."""

    script: int
    heard: int
    length: int


def align(script: Sequence[str], heard: Sequence[str]) -> list[Match | None]:
    """Match the words of the script with those heard, both in order.

    Parameters
    ----------
    script, heard : sequence of str
        Words as `overlays.outline.voice.tokens.sounds` makes them.

    Returns
    -------
    list of (Match or None)
        One a word of the script; None where nothing was heard for it.
    """
    found: list[Match | None] = [None] * len(script)
    open_parts = [(0, len(script), 0, len(heard))]
    left = _MOST_CELLS
    while open_parts:
        s0, s1, h0, h1 = open_parts.pop()
        if s0 >= s1 or h0 >= h1:
            continue
        chain = _chain(script, heard, (s0, s1, h0, h1))
        if not chain:
            cells = (s1 - s0) * (h1 - h0)
            if cells <= min(_LARGE, left):
                left -= cells
                for place, match in _word_by_word(script[s0:s1], heard[h0:h1]):
                    found[s0 + place] = Match(h0 + match.heard, match.likeness)
            continue
        for run in chain:
            for step in range(run.length):
                found[run.script + step] = Match(run.heard + step, 1.0)
        stops = [_Run(s0, h0, 0), *chain, _Run(s1, h1, 0)]
        for first, second in itertools.pairwise(stops):
            open_parts.append(
                (first.script + first.length, second.script,
                 first.heard + first.length, second.heard)
            )  # fmt: skip
    return found


def _chain(
    script: Sequence[str], heard: Sequence[str], part: tuple[int, int, int, int]
) -> list[_Run]:
    """Return the best chain of rows within a part; empty where the part is small or has none."""
    s0, s1, h0, h1 = part
    if (s1 - s0) * (h1 - h0) <= _SMALL:
        return []
    for length in _ROWS:
        runs = _runs(script, heard, part, length)
        if runs:
            return _best_chain(runs, h1)
    return []


def _runs(
    script: Sequence[str], heard: Sequence[str], part: tuple[int, int, int, int], length: int
) -> list[_Run]:
    """Find rows that occur once in the script's part and a few times in what was heard."""
    s0, s1, h0, h1 = part
    in_script = _rows(script, s0, s1, length)
    takes = {row: at for row, at in _rows(heard, h0, h1, length).items() if len(at) <= _MOST_TAKES}
    pairs = sorted(
        (at[0], other)
        for row, at in in_script.items()
        if len(at) == 1
        for other in takes.get(row, ())
    )
    # Rows that overlap on one diagonal are one longer row.
    open_runs: dict[int, _Run] = {}
    runs: list[_Run] = []
    for s, h in pairs:
        run = open_runs.get(h - s)
        if run is not None and s <= run.script + run.length:
            open_runs[h - s] = _Run(run.script, run.heard, s + length - run.script)
            continue
        if run is not None:
            runs.append(run)
        open_runs[h - s] = _Run(s, h, length)
    return runs + list(open_runs.values())


def _rows(
    words: Sequence[str], first: int, last: int, length: int
) -> dict[tuple[str, ...], list[int]]:
    rows: defaultdict[tuple[str, ...], list[int]] = defaultdict(list)
    for place in range(first, last - length + 1):
        rows[tuple(words[place : place + length])].append(place)
    return rows


def _best_chain(runs: list[_Run], last: int) -> list[_Run]:
    """Return the rows that run forward in both and are longest together.

    Where a passage was begun, broken off and said again, two rows share words of the script: the
    later keeps them. Later takes win ties.
    """
    order = sorted(range(len(runs)), key=lambda k: runs[k].script)
    tree = _Tree(last + 1)
    best: list[tuple[int, int]] = [(0, 0)] * len(runs)
    before: list[int] = [-1] * len(runs)
    still_open: list[int] = []
    for k in order:
        run = runs[k]
        for done in [p for p in still_open if _script_end(runs[p]) <= run.script]:
            still_open.remove(done)
            tree.put(runs[done].heard + runs[done].length, (*best[done], done))
        score, _, index = tree.best_below(run.heard)
        best[k], before[k] = (score + run.length, run.heard), index
        for p in still_open:
            shared = _script_end(runs[p]) - run.script
            kept = runs[p].length - shared
            joins = kept > 0 and shared < run.length and runs[p].heard + kept <= run.heard
            if joins and best[p][0] + run.length - shared > best[k][0]:
                best[k] = (best[p][0] + run.length - shared, run.heard)
                before[k] = p
        still_open.append(k)
    return _followed(runs, before, max(range(len(runs)), key=lambda k: best[k]))


def _script_end(run: _Run) -> int:
    return run.script + run.length


def _followed(runs: list[_Run], before: list[int], at: int) -> list[_Run]:
    """Walk a chain back, cutting what the next row has of the one before."""
    chain: list[_Run] = []
    while at >= 0:
        run = runs[at]
        end = min(_script_end(run), chain[-1].script if chain else _script_end(run))
        chain.append(_Run(run.script, run.heard, end - run.script))
        at = before[at]
    return chain[::-1]


class _Tree:
    """Prefix maxima over places (Fenwick 1994), so that long chains cost n log n."""

    def __init__(self, size: int) -> None:
        self.values: list[tuple[int, int, int]] = [(0, -1, -1)] * (size + 1)

    def put(self, place: int, value: tuple[int, int, int]) -> None:
        place += 1
        while place < len(self.values):
            self.values[place] = max(self.values[place], value)
            place += place & -place

    def best_below(self, place: int) -> tuple[int, int, int]:
        """Return the best value at or below a place."""
        best = (0, -1, -1)
        place += 1
        while place > 0:
            best = max(best, self.values[place])
            place -= place & -place
        return best


def likeness(script: Sequence[str], heard: Sequence[str]) -> FloatArray:
    """Return how alike each two words are, 0 to 1, as an array of shape (script, heard)."""
    from rapidfuzz import fuzz, process

    return process.cdist(script, heard, scorer=fuzz.ratio, dtype=np.float64) / 100


def _word_by_word(script: Sequence[str], heard: Sequence[str]) -> Iterator[tuple[int, Match]]:
    """Align two short rows: alike words earn their likeness, others a little for the slot."""
    alike = likeness(script, heard).tolist()
    rows, columns = len(script), len(heard)
    # For each pair of places: the best total, and the best that ends in a pair matched there.
    total = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    paired = [[-1.0] * (columns + 1) for _ in range(rows + 1)]
    paired[0][0] = _EDGE - _TOGETHER  # what lies before the part is a pair, if not quite of it
    for i in range(1, rows + 1):
        for j in range(1, columns + 1):
            paired[i][j] = _worth(alike, i, j) + max(
                total[i - 1][j - 1], paired[i - 1][j - 1] + _TOGETHER
            )
            # On a tie the later word is taken: a slip of the tongue comes before.
            total[i][j] = max(paired[i][j], total[i][j - 1], total[i - 1][j])
    yield from _traced(alike, total, paired)


def _worth(alike: Sequence[Sequence[float]], i: int, j: int) -> float:
    worth = alike[i - 1][j - 1]
    closing = _EDGE if i == len(alike) and j == len(alike[0]) else 0.0
    return (worth if worth >= _ALIKE else _SLOT) + closing


def _traced(
    alike: Sequence[Sequence[float]],
    total: Sequence[Sequence[float]],
    paired: Sequence[Sequence[float]],
) -> Iterator[tuple[int, Match]]:
    """Walk back along the best totals."""
    i, j = len(alike), len(alike[0])
    must = False
    while i and j:
        if must or paired[i][j] >= max(total[i][j - 1], total[i - 1][j]) - _ROUNDING:
            yield i - 1, Match(j - 1, alike[i - 1][j - 1])
            i, j = i - 1, j - 1
            must = bool(i and j) and paired[i][j] + _TOGETHER >= total[i][j] - _ROUNDING
        elif total[i][j - 1] >= total[i - 1][j]:
            j -= 1
        else:
            i -= 1
