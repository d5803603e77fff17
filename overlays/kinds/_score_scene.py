"""The frames of a score update: entries in turn, one row open at a time."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from overlays.draw.axis import Scale
from overlays.draw.motion import Move, staged
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.sheet import block
from overlays.kinds._card import foot, moved, ticks_for
from overlays.kinds._score_closed import shown_line, waiting_line
from overlays.kinds._score_content import ScoreUpdateContent
from overlays.kinds._score_layout import plan_rows
from overlays.kinds._score_row import OpenRow, RowMoves, labels
from overlays.kinds._score_timing import turns
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["ScoreUpdateScene"]


@dataclass(frozen=True, slots=True)
class _Turn:
    """When a row gives way to the next: it leaves, and is set as a closed line."""

    leave: Move
    close: Move


class ScoreUpdateScene:
    """The frames of a score update."""

    def __init__(self, content: ScoreUpdateContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content = content
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._kind, self._plan = kind, plan = plan_rows(content, page)
        rect, pad = plan.rect, page.px(style.space.pad)
        scale = Scale(0.0, float(content.most), rect.left + pad, rect.right - pad)
        ticks = ticks_for(scale.low, scale.high, scale.end - scale.start, page)
        self._plate = (panel(rect, page), *foot(rect, scale, ticks, page), *plan.heading)
        labelled = labels(content.last.columns, kind, plan)
        lines = [block(line, page.colours.grid) for line in plan.dividers]
        self._table = (*lines, *(labelled if plan.wide else ()))
        self._moving = () if plan.wide else tuple(labelled)
        self._stage(style, stage)
        self._rows = [
            OpenRow(update, kind, plan, scale, moves)
            for update, moves in zip(content.updates, self._row_moves, strict=True)
        ]
        several = len(content.updates) > 1
        self._shown = [shown_line(one, kind, plan) for one in content.updates] if several else []
        self._waiting = [waiting_line(one, kind, plan) for one in content.updates[1:]]

    def _stage(self, style: Style, stage: Stage) -> None:
        """Say when everything happens."""
        timing = turns(self._content, style.motion, float(stage.frames / stage.rate))
        hold = min(stage.frames // 4, round(1.5 * float(stage.rate)))
        moves = staged(timing.acts, stage.rate, max(1, stage.frames - hold))
        self._panel, moves = moves[0], moves[1:]
        columns = len(self._content.last.columns)
        self._row_moves: list[RowMoves] = []
        self._turns: list[_Turn] = []
        # A row, its columns, its rank; then, but for the last, a pause, leaving, the closed line.
        each = columns + 5
        for first in range(0, len(moves), each):
            part = moves[first : first + each]
            self._row_moves.append(RowMoves(part[0], part[1 : columns + 1], part[columns + 1]))
            if len(part) == each:
                self._turns.append(_Turn(part[-2], part[-1]))
        self._leaves = [turn.leave.first for turn in self._turns]

    # Frames

    @property
    def exits(self) -> Literal["left", "right"]:
        """The side seen at last when it leaves: no frame shows the total without its points."""
        return "left" if self._plan.wide else "right"

    def _above(self, turn: int) -> int:
        return min(turn, self._plan.lines)

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect = self._plan.rect
        shown = rect.left + self._panel.grown(frame, rect.right - rect.left)
        layers = [through(layer, Rect(0, 0, shown, self.height)) for layer in self._plate]
        first = self._row_moves[0].row
        if frame < first.first:
            return layers
        window = self._window(first, frame)
        layers += [through(layer, window) for layer in self._table]
        passed = bisect_right(self._leaves, frame)
        if passed and frame < self._row_moves[passed].row.first:
            return [*layers, *self._changing(passed, frame)]
        lines = self._lines(passed)
        return [*layers, *(through(x, window) for x in lines), *self._open(passed, frame)]

    def _window(self, move: Move, frame: int) -> Rect:
        """Return the part of the panel that a move has reached."""
        rect = self._plan.rect
        return Rect(0, 0, rect.left + move.grown(frame, rect.right - rect.left), self.height)

    def _rest(self, leave: Move, frame: int) -> Rect:
        """Return the part of the panel that still shows a row that leaves.

        The total goes before the points it is made of: no frame shows it without them.
        """
        rect = self._plan.rect
        gone = leave.grown(frame, rect.right - rect.left)
        if self._plan.wide:
            return Rect(0, 0, rect.right - gone, self.height)
        return Rect(rect.left + gone, 0, self.width, self.height)

    def _open(self, turn: int, frame: int) -> list[Layer]:
        """Return the open row's layers, and its points along the foot."""
        row, down = self._rows[turn], self._above(turn) * self._plan.closed
        window = self._window(row.moves.row, frame)
        layers = [
            through(moved(x, 0, down), window) for x in (*self._moving, *row.standing())
        ] + [moved(x, 0, down) for x in row.arriving(frame)]  # fmt: skip
        return layers + row.along_foot(frame)

    def _lines(self, turn: int) -> list[Layer]:
        """Return the closed lines while a row is open: those before it, and those to come."""
        plan, above = self._plan, self._above(turn)
        layers = [
            moved(self._shown[turn - above + i], 0, plan.open.top + i * plan.closed)
            for i in range(above)
        ]
        return layers + [self._below(turn, i) for i in range(plan.lines - above)]

    def _below(self, turn: int, line: int) -> Layer:
        plan = self._plan
        y = plan.open.bottom + (self._above(turn) + line) * plan.closed
        return moved(self._waiting[turn + line], 0, y)

    def _changing(self, turn: int, frame: int) -> list[Layer]:
        """Return the rows while one gives way to the next: it leaves, then its line is set."""
        plan, moves = self._plan, self._turns[turn - 1]
        before, full = turn - 1, self._above(turn) == self._above(turn - 1)
        if frame < moves.close.first:
            rest = self._rest(moves.leave, frame)
            lines = self._lines(before)
            going = [] if full else [self._below(before, 0)]
            staying = [line for line in lines if line not in going]
            return staying + [through(x, rest) for x in (*going, *self._open(before, frame))]
        lines = self._lines(turn)
        if not plan.lines:
            return lines
        new = lines[self._above(turn) - 1]
        write = moves.close
        if full:
            half = max(1, moves.close.frames // 2)
            slide = Move(moves.close.first, half)
            write = Move(slide.end, max(1, moves.close.end - slide.end))
            up = plan.closed - slide.grown(frame, plan.closed)
            shelf = Rect(0, plan.open.top, self.width, plan.open.top + plan.lines * plan.closed)
            slid = self._lines(before)[:1] + lines[:-1]
            starts = [-plan.closed, *([0] * (len(slid) - 1))]
            lines = [
                through(moved(x, 0, up + start), shelf)
                for x, start in zip(slid, starts, strict=True)
            ] + [new]  # fmt: skip
        others = [line for line in lines if line is not new]
        if frame < write.first:
            return others
        return [*others, through(new, self._window(write, frame))]
