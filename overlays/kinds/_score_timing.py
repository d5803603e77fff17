"""How a score update divides its time among entries, and how much it needs."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.kinds._score_content import ScoreUpdateContent
from overlays.style.house import Motion

__all__ = ["PACE", "Turns", "least_s", "natural_s", "turns"]

# Without a style, as when a length is only proposed or checked.
PACE = Motion(panel=0.4, axes=0.5, step=0.4, swap=0.3)
# In steps: a column arrives; a row leaves; its closed line is set.
_COLUMN, _LEAVE, _CLOSE = 2.2, 1.0, 1.2
# A finished row is looked at for so long at least, and at best, before it gives way.
_READ_S, _LONG_READ_S = 0.8, 1.6
# Below this share of the natural pace nobody can follow.
_LEAST = 0.5


@dataclass(frozen=True, slots=True)
class Turns:
    """The lengths of everything that happens, in seconds and in order.

    First the panel; then of every entry its row, its columns and its rank, and of every entry but
    the last a pause to read, the row leaving, and its closed line.
    """

    acts: tuple[float, ...]


def turns(content: ScoreUpdateContent, motion: Motion, seconds: float) -> Turns:
    """Divide a cue's time: every entry moves at the same pace, what is left over is for reading."""
    count, columns = len(content.updates), len(content.last.columns)
    row = [motion.step, *(_COLUMN * motion.step for _ in range(columns)), motion.step]
    moving = motion.panel + count * sum(row) + (count - 1) * (_LEAVE + _CLOSE) * motion.step
    read = max(_READ_S, (seconds - moving) / count)
    acts = [motion.panel]
    for turn in range(count):
        acts += row
        if turn < count - 1:
            acts += [read, _LEAVE * motion.step, _CLOSE * motion.step]
    return Turns(tuple(acts))


def natural_s(content: ScoreUpdateContent) -> float:
    """Return the time for each column to arrive, and for each total to be read."""
    count, columns = len(content.updates), len(content.last.columns)
    if count == 1:
        return 3.5 + 1.1 * columns
    each = (2 + _LEAVE + _CLOSE + _COLUMN * columns) * PACE.step + _LONG_READ_S
    return min(60.0, PACE.panel + count * each + 1.0)


def least_s(content: ScoreUpdateContent) -> float:
    """Return the least time in which several entries can be followed; none for one."""
    if len(content.updates) == 1:
        return 0.0
    moving = sum(turns(content, PACE, 0.0).acts)
    return round(_LEAST * moving, 1)
