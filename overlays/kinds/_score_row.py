"""The frames of a score update: old values give way to new ones, points arrive and add up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.motion import Move, staged, wiped
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import struck
from overlays.kinds._score_content import Column, ScoreUpdateContent, total_text
from overlays.kinds._score_layout import BAR, MINI_RULE, TOTAL_RULE, Spot, plan_row
from overlays.model.clip import Stage
from overlays.numbers import fixed, rounded
from overlays.style.house import Style

__all__ = ["ScoreUpdateScene"]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A column drawn: what stands from the start, what arrives, how its points are set."""

    old: Layer | None
    strike: Layer | None
    new: tuple[Layer, ...]
    bar: Layer
    share: Layer
    column: Column
    spot: Spot


class ScoreUpdateScene:
    """The frames of a score update."""

    def __init__(self, content: ScoreUpdateContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content = content
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._kind, self._plan = plan_row(content, page)
        plan = self._plan
        self._total_scale, self._foot = self._total_rule()
        self._plate = (panel(plan.rect, page), *self._foot, *plan.heading)
        self._row = self._standing_row()
        starts = self._starts()
        self._cells = tuple(
            self._cell(column, spot, start)
            for column, spot, start in zip(content.columns, plan.columns, starts, strict=True)
        )
        self._old_score = self._struck_score()
        self._place = self._place_layers()
        motion, rate = style.motion, stage.rate
        hold = min(stage.frames // 4, round(1.5 * float(rate)))
        self._moves = staged(
            [motion.panel, motion.step, *(2.2 * motion.step for _ in content.columns), motion.step],
            rate,
            max(1, stage.frames - hold),
        )

    # Laying out

    def _total_rule(self) -> tuple[Scale, tuple[Layer, ...]]:
        """Rule the panel's foot from nothing to all points there are."""
        page, style, rect = self._page, self._page.style, self._plan.rect
        pad = page.px(style.space.pad)
        most = float(self._content.most)
        body = Rect(rect.left, rect.bottom - page.px(TOTAL_RULE), rect.right, rect.bottom)
        scale = Scale(0.0, most, rect.left + pad, rect.right - pad)
        ticks = nice_ticks(0.0, most, 10 if page.shape == "wide" else 5)
        digits = page.face("strong", style.type.floor)
        numbers = tuple(
            digits.layer(
                page.number(fixed(tick, ticks.places)),
                round(scale.at(float(tick))) - page.px(6),
                body.bottom - page.px(8),
                style.colours.engraved,
                "right",
            )
            for tick in ticks.numbered[1:]
        )
        return scale, (
            strip(body, page), engraved(body, "top", scale, ticks, page), *numbers,
        )  # fmt: skip

    def _starts(self) -> list[float]:
        """Return how many points came before each column."""
        points = [float(column.points or 0) for column in self._content.columns]
        return [sum(points[:i]) for i in range(len(points))]

    def _standing_row(self) -> tuple[Layer, ...]:
        """Draw what is there before anything changes: name, labels, bare scales."""
        plan, kind = self._plan, self._kind
        content, colours = self._content, self._page.colours
        name = fitted(kind.name, content.name, plan.name_room)
        layers = [block(rect, colours.grid) for rect in plan.dividers]
        layers.append(kind.name.layer(name, *plan.name, colours.ink))
        if content.note:
            layers.append(kind.small.layer(content.note, *plan.note, colours.quiet))
        for column, spot in zip(content.columns, plan.columns, strict=True):
            label = fitted(kind.label, column.label, spot.room)
            layers.append(kind.label.layer(label, *spot.label, colours.quiet))
            layers += self._mini_rule(column, spot)
        layers.append(kind.small.layer("points", *plan.total.label, colours.quiet))
        layers.append(block(plan.band, kind.colour))
        return tuple(layers)

    def _mini_rule(self, column: Column, spot: Spot) -> list[Layer]:
        """Rule what a column can give, or take, a point being as long in every column."""
        page, most = self._page, abs(float(column.most)) or 1.0
        (x, y), long = spot.bar, max(2, round(most * self._plan.px_per_point))
        top = y + page.px(BAR)
        body = Rect(x, top, x + long, top + page.px(MINI_RULE))
        ticks = nice_ticks(0.0, most, 3)
        return [
            strip(body, page),
            engraved(body, "top", Scale(0.0, most, x, x + long), ticks, page),
        ]

    def _number(self, numerals: Numerals, text: str, at: tuple[int, int], *, left: bool) -> Layer:
        shown = self._page.number(text)
        right = at[0] + numerals.width(shown) if left else at[0]
        return numerals.layer(shown, right, at[1])

    def _strike(self, layer: Layer) -> Layer:
        width = self._page.px(self._page.style.strokes.rule)
        return struck(layer.covers, width, self._page.colours.strike)

    def _cell(self, column: Column, spot: Spot, start: float) -> _Cell:
        kind = self._kind
        old = strike = None
        if column.old is not None and column.old != column.new:
            old = self._number(kind.old, column.old, spot.old, left=spot.left)
            strike = self._strike(old)
        text = kind.value(column)
        x = spot.new[0] if spot.left else spot.new[0] - kind.new.digits_width(text)
        new = kind.new.layers(text, column.unit, x, spot.new[1])
        bar, share = self._bars(float(column.points or 0), spot, start)
        return _Cell(old, strike, new, bar, share, column, spot)

    def _bars(self, points: float, spot: Spot, start: float) -> tuple[Layer, Layer]:
        """Draw a column's points along its own rule, and along the foot where those before end.

        Points taken away eat back into what was there, in the colour of a strike.
        """
        page, deep = self._page, self._page.px(BAR)
        colour = self._kind.colour if points >= 0 else page.colours.strike
        (x, y), long = spot.bar, max(1, round(abs(points) * self._plan.px_per_point))
        ends = sorted(round(self._total_scale.at(value)) for value in (start, start + points))
        foot = self._plan.rect.bottom - page.px(TOTAL_RULE) - deep
        space = page.px(2) if ends[1] - ends[0] > page.px(6) else 0
        along = Rect(ends[0], foot, max(ends[0] + 1, ends[1] - space), foot + deep)
        return block(Rect(x, y, x + long, y + deep), colour), block(along, colour)

    def _struck_score(self) -> tuple[Layer, Layer] | None:
        if self._content.old_score is None:
            return None
        x, baseline = self._plan.total.label
        beside = x + self._kind.small.width("points") + self._page.px(20)
        old = self._number(
            self._kind.old_place, self._content.old_score, (beside, baseline), left=True
        )
        return old, self._strike(old)

    def _place_layers(self) -> tuple[Layer | None, Layer | None, tuple[Layer, ...]]:
        content, kind = self._content, self._kind
        x, baseline = self._plan.place
        if content.rank is None:
            return None, None, ()
        old = strike = None
        if content.old_rank is not None and content.old_rank != content.rank:
            old = self._number(kind.old_place, str(content.old_rank), (x, baseline), left=True)
            strike = self._strike(old)
            x += kind.old_place.width(str(content.old_rank)) + self._page.px(22)
        right = x + kind.place.width(str(content.rank))
        of = kind.small.layer(f"of {content.of}", right + self._page.px(8), baseline,
                              self._page.colours.quiet)  # fmt: skip
        return old, strike, (kind.place.layer(str(content.rank), right, baseline), of)

    # Frames

    def _points_at(self, cell: _Cell, move: Move, frame: int) -> Decimal | None:
        """Return a column's points as shown at a frame; None before they begin to count."""
        _, _, fill = _parts(move)
        if frame < fill.first or cell.column.points is None:
            return None
        share = Decimal(repr(fill.eased(frame)))
        return rounded(cell.column.points * share, cell.column.places)

    def points_at(self, frame: int) -> tuple[Decimal | None, ...]:
        """Return the points of every column as shown at a frame."""
        moves = self._moves[2:-1]
        return tuple(
            self._points_at(cell, move, frame)
            for cell, move in zip(self._cells, moves, strict=True)
        )

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        plan, moves = self._plan, self._moves
        shown = plan.rect.left + moves[0].grown(frame, plan.rect.right - plan.rect.left)
        layers = [through(layer, Rect(0, 0, shown, self.height)) for layer in self._plate]
        if frame >= moves[1].first:
            along = plan.rect.left + moves[1].grown(frame, plan.rect.right - plan.rect.left)
            window = Rect(0, 0, along, self.height)
            before = [cell.old for cell in self._cells]
            before += [self._old_score and self._old_score[0], self._place[0]]
            standing = [*self._row, *(layer for layer in before if layer is not None)]
            layers += [through(layer, window) for layer in standing]
        for cell, move in zip(self._cells, moves[2:-1], strict=True):
            if frame >= move.first:
                layers += self._arriving(cell, move, frame)
        layers += self._totals(frame)
        if frame >= moves[-1].first:
            _, strike, new = self._place
            layers += wiped((*((strike,) if strike else ()), *new), moves[-1], frame)
        return layers

    def _arriving(self, cell: _Cell, move: Move, frame: int) -> list[Layer]:
        strike, new, fill = _parts(move)
        layers: list[Layer] = []
        if cell.strike is not None:
            layers += wiped((cell.strike,), strike, frame)
        if frame >= new.first:
            layers += wiped(cell.new, new, frame)
        if frame < fill.first:
            return layers
        points = self._points_at(cell, move, frame)
        if points:
            layers += wiped((cell.bar,), fill, frame) + wiped((cell.share,), fill, frame)
        return layers + self._points_layers(cell, points)

    def _points_layers(self, cell: _Cell, points: Decimal | None) -> list[Layer]:
        """Set a column's points, where the final ones will be; a dash where there are none."""
        kind, places = self._kind, cell.column.places
        x, baseline = cell.spot.points
        texts = [
            "–" if part is None else self._page.number(fixed(part, places))
            for part in (points, cell.column.points)
        ]
        right = x + kind.points.width(texts[1]) if cell.spot.left else x
        beside = right + self._page.px(8 * kind.share)
        of = kind.label.layer(kind.of(cell.column), beside, baseline, self._page.colours.quiet)
        numerals = kind.taken if cell.column.most < 0 else kind.points
        return [*numerals.layers(texts[0], right, baseline), of]

    def _totals(self, frame: int) -> list[Layer]:
        points = self.points_at(frame)
        first = _parts(self._moves[2])[2] if self._cells else self._moves[-1]
        if frame < first.first:
            return []
        layers = [] if self._old_score is None else wiped((self._old_score[1],), first, frame)
        text = self._page.number(total_text(self._content, points))
        spot = self._plan.total
        final = self._page.number(
            total_text(self._content, [column.points for column in self._content.columns])
        )
        right = spot.new[0] + self._kind.total.width(final) if spot.left else spot.new[0]
        return [*layers, *self._kind.total.layers(text, right, spot.new[1])]


def _parts(move: Move) -> tuple[Move, Move, Move]:
    """Cut a column's stretch in three: the strike, the new value, the points."""
    if move.frames < 3:
        return move, move, move
    strike, new = max(1, move.frames // 5), max(1, move.frames * 3 // 10)
    first = Move(move.first, strike)
    second = Move(first.end, new)
    return first, second, Move(second.end, move.end - second.end)
