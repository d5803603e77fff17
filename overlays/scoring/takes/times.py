"""Time to a level, time above a level, rise time."""

from __future__ import annotations

from typing import Literal

import numpy as np

from overlays.model.figurespec import DurationFigure, RiseTimeFigure, TimeToFigure
from overlays.model.trace import FloatArray
from overlays.scoring.takes.levels import level_value
from overlays.scoring.takes.view import Piece, Taken, View, no_value

__all__ = ["rise_time", "time_above", "time_to"]


def _crossings_s(piece: Piece, level: float) -> FloatArray:
    """Return for each step of the trace where it crosses a level, NaN where it does not."""
    before, after = piece.values[:-1], piece.values[1:]
    crosses = ((before < level) != (after < level)) & piece.joined
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = (level - before) / (after - before)
    times = piece.time_s[:-1] + shares * np.diff(piece.time_s)
    return np.where(crosses, times, np.nan)


def _first_s(piece: Piece, level: float, edge: Literal["rising", "falling"]) -> float | None:
    """Return when a level is first reached, None if never."""
    values = piece.values if edge == "rising" else -piece.values
    level = level if edge == "rising" else -level
    reached = np.flatnonzero(values >= level)
    if len(reached) == 0:
        return None
    first = int(reached[0])
    if first == 0 or not piece.joined[first - 1]:
        return float(piece.time_s[first])
    share = (level - values[first - 1]) / (values[first] - values[first - 1])
    step_s = piece.time_s[first] - piece.time_s[first - 1]
    return float(piece.time_s[first - 1] + share * step_s)


def time_to(figure: TimeToFigure, view: View) -> Taken:
    """Return the time from the trigger until a level is first reached in the window.

    The crossing is taken on the straight line between samples. Where the trace is at the level
    from the window's start on, that start is the time.
    """
    piece = view.piece(figure)
    level = level_value(figure.level, piece)
    found = _first_s(piece, level, figure.edge)
    if found is None:
        extreme = piece.values.max() if figure.edge == "rising" else piece.values.min()
        raise no_value(
            f"the level of {level:g} {piece.unit} is not reached; the furthest is "
            f"{extreme:g} {piece.unit}"
        )
    return found, "s"


def time_above(figure: DurationFigure, view: View) -> Taken:
    """Return the time spent above a level, crossings taken on the straight line between samples.

    With ``count = "first to last"`` it runs from the first time the level is passed to the last,
    the way a burn or a pulse is timed (common practice, no source).
    """
    piece = view.piece(figure)
    level = level_value(figure.level, piece)
    above = piece.values >= level
    if not above.any():
        return 0.0, "s"
    crossings = _crossings_s(piece, level)
    if figure.count == "first to last":
        first, last = np.flatnonzero(above)[[0, -1]]
        begins = crossings[first - 1] if first > 0 else piece.time_s[0]
        ends = crossings[last] if last < len(above) - 1 else piece.time_s[-1]
        # Beside a gap there is no crossing; the sample itself is the edge then.
        begins = begins if np.isfinite(begins) else piece.time_s[first]
        ends = ends if np.isfinite(ends) else piece.time_s[last]
        return float(ends - begins), "s"
    steps = np.diff(piece.time_s)
    starts, stops = piece.time_s[:-1], piece.time_s[1:]
    parts = np.where(above[:-1] & above[1:], steps, 0.0)
    parts = np.where(~above[:-1] & above[1:], stops - crossings, parts)
    parts = np.where(above[:-1] & ~above[1:], crossings - starts, parts)
    return float(np.sum(parts[piece.joined])), "s"


def rise_time(figure: RiseTimeFigure, view: View) -> Taken:
    """Return the time from the low level to the high one.

    From the last time the low level is passed before the high one is first reached, to that
    moment: the transition duration of IEEE Std 181 (from memory), with the zeroed trace's 0 and
    its peak as the two states.
    """
    piece = view.piece(figure)
    low, high = level_value(figure.low, piece), level_value(figure.high, piece)
    reached_s = _first_s(piece, high, "rising")
    if reached_s is None or low >= high:
        raise no_value(f"it does not rise from {low:g} to {high:g} {piece.unit}")
    crossings = _crossings_s(piece, low)
    before = crossings[np.isfinite(crossings) & (crossings <= reached_s)]
    if len(before) == 0:
        raise no_value(f"the window begins above {low:g} {piece.unit}")
    return float(reached_s - before[-1]), "s"
