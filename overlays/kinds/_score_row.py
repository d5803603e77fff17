"""One entry's row of a score update: old values give way to new ones, points arrive and add up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.motion import Move, wiped
from overlays.draw.numerals import Numerals
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import struck
from overlays.kinds._card import FOOT
from overlays.kinds._score_content import NOTHING, Column, Update
from overlays.kinds._score_layout import BAR, MINI_RULE, Plan, Spot
from overlays.kinds._score_type import OUT, RowType
from overlays.numbers import fixed, rounded

__all__ = ["OpenRow", "RowMoves", "labels"]


@dataclass(frozen=True, slots=True)
class RowMoves:
    """When things happen in an open row: it comes, its columns arrive, the rank changes."""

    row: Move
    columns: tuple[Move, ...]
    rank: Move


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


@dataclass(frozen=True, slots=True)
class _Place:
    """The rank drawn: the word before it and those after, the old one and its strike, the new."""

    said: Layer
    of: Layer
    old: Layer | None
    strike: Layer | None
    new: Layer


class OpenRow:
    """The frames of one entry's row, laid out with no closed line above it.

    Parameters
    ----------
    update : Update
        What is shown.
    kind : RowType
        How it is set.
    plan : Plan
        Where.
    scale : Scale
        Of the rule along the panel's foot.
    moves : RowMoves
        When.
    """

    def __init__(
        self, update: Update, kind: RowType, plan: Plan, scale: Scale, moves: RowMoves
    ) -> None:
        self.moves, self.colour = moves, kind.page.colours.entry(update.colour)
        self._update, self._kind, self._plan, self._scale = update, kind, plan, scale
        self._page = kind.page
        given = [float(column.points or 0) for column in update.columns]
        self._cells = tuple(
            self._cell(column, spot, sum(given[:i]))
            for i, (column, spot) in enumerate(zip(update.columns, plan.columns, strict=True))
        )
        self._old_score = self._struck_score()
        self._place = self._placed()
        self._row = self._standing_row()

    # Laying out

    def _standing_row(self) -> tuple[Layer, ...]:
        """Draw what is there before anything changes: name, bare scales, what was."""
        plan, kind, update = self._plan, self._kind, self._update
        colours = self._page.colours
        layers = [block(rect, colours.grid) for rect in plan.rows]
        name = fitted(kind.name, update.name, plan.name_room)
        layers.append(kind.name.layer(name, *plan.name, colours.ink))
        # Under the name, or beside it in what room it leaves.
        aside = 0 if plan.wide else kind.name.width(name) + self._page.px(22)
        note = fitted(kind.small, update.note, plan.name_room - aside)
        if note.strip("…"):
            layers.append(kind.small.layer(note, plan.note[0] + aside, plan.note[1], colours.quiet))
        for cell in self._cells:
            layers += self._mini_rule(cell.column, cell.spot)
        layers.append(block(plan.band, self.colour))
        before = [cell.old for cell in self._cells]
        before.append(self._old_score[0] if self._old_score else None)
        if self._place and self._place.old:
            # A number alone would not say what it counts.
            before += [self._place.said, self._place.old]
        return (*layers, *(layer for layer in before if layer is not None))

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
        new: tuple[Layer, ...] = ()
        if column.key:  # Several columns taken together have points, and no value.
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
        colour = self.colour if points >= 0 else page.colours.strike
        (x, y), long = spot.bar, max(1, round(abs(points) * self._plan.px_per_point))
        ends = sorted(round(self._scale.at(value)) for value in (start, start + points))
        foot = self._plan.rect.bottom - page.px(FOOT) - deep
        space = page.px(2) if ends[1] - ends[0] > page.px(6) else 0
        along = Rect(ends[0], foot, max(ends[0] + 1, ends[1] - space), foot + deep)
        return block(Rect(x, y, x + long, y + deep), colour), block(along, colour)

    def _struck_score(self) -> tuple[Layer, Layer] | None:
        update = self._update
        if update.old_score is None or update.old_score == update.score:
            return None
        at = self._plan.old_score
        old = self._number(self._kind.old_score, update.old_score, at, left=True)
        return old, self._strike(old)

    def _placed(self) -> _Place | None:
        update, kind, px = self._update, self._kind, self._page.px
        x, baseline = self._plan.place
        if update.rank is None:
            return None
        quiet = self._page.colours.quiet
        said = kind.small.layer("place", x, baseline, quiet)
        x += kind.small.width("place") + px(14)
        old = strike = None
        if update.old_rank is not None and update.old_rank != update.rank:
            # A strike sticks out at both sides.
            x += px(OUT)
            old = kind.old_place.layer(str(update.old_rank), x, baseline, quiet)
            strike = self._strike(old)
            x += kind.old_place.width(str(update.old_rank)) + px(OUT + 16)
        right = x + kind.place.width(str(update.rank))
        of = kind.small.layer(kind.of_all, right + px(8), baseline, quiet)
        ink = self._page.colours.ink
        return _Place(said, of, old, strike, kind.place.layer(str(update.rank), x, baseline, ink))

    # Frames

    def points_at(self, frame: int) -> tuple[Decimal | None, ...]:
        """Return the points of every column as shown at a frame; None before they count."""
        return tuple(
            _points(cell.column, _parts(move)[2], frame)
            for cell, move in zip(self._cells, self.moves.columns, strict=True)
        )

    def standing(self) -> tuple[Layer, ...]:
        """Return what is there before anything changes."""
        return self._row

    def arriving(self, frame: int) -> list[Layer]:
        """Return what has come to the row at a frame."""
        layers: list[Layer] = []
        for cell, move in zip(self._cells, self.moves.columns, strict=True):
            if frame >= move.first:
                layers += self._arriving(cell, move, frame)
        layers += self._totals(frame)
        if self._place is not None and frame >= self.moves.rank.first:
            said = None if self._place.old else self._place.said
            parts = (said, self._place.strike, self._place.new, self._place.of)
            layers += wiped([part for part in parts if part is not None], self.moves.rank, frame)
        return layers

    def along_foot(self, frame: int) -> list[Layer]:
        """Return the points along the panel's foot at a frame."""
        layers: list[Layer] = []
        for cell, move in zip(self._cells, self.moves.columns, strict=True):
            fill = _parts(move)[2]
            if _points(cell.column, fill, frame):
                layers += wiped((cell.share,), fill, frame)
        return layers

    def _arriving(self, cell: _Cell, move: Move, frame: int) -> list[Layer]:
        strike, new, fill = _parts(move)
        layers: list[Layer] = []
        if cell.strike is not None:
            layers += wiped((cell.strike,), strike, frame)
        if cell.new and frame >= new.first:
            layers += wiped(cell.new, new, frame)
        if frame < fill.first:
            return layers
        points = _points(cell.column, fill, frame)
        if points:
            layers += wiped((cell.bar,), fill, frame)
        return layers + self._points_layers(cell, points)

    def _points_layers(self, cell: _Cell, points: Decimal | None) -> list[Layer]:
        """Set a column's points, where the final ones will be; a dash where there are none."""
        kind, column = self._kind, cell.column
        x, baseline = cell.spot.points
        text = NOTHING if points is None else self._page.number(fixed(points, column.places))
        right = x + kind.points.width(kind.points_text(column)) if cell.spot.left else x
        beside = right + self._page.px(8 * kind.share)
        of = kind.label.layer(kind.of(column), beside, baseline, self._page.colours.quiet)
        return [*kind.points_of(self._update, column).layers(text, right, baseline), of]

    def _totals(self, frame: int) -> list[Layer]:
        moves, kind, spot = self.moves, self._kind, self._plan.total
        first = _parts(moves.columns[0])[2] if moves.columns else moves.rank
        if frame < first.first:
            return []
        layers = [] if self._old_score is None else wiped((self._old_score[1],), first, frame)
        text = self._page.number(self._update.total(self.points_at(frame)))
        final = self._page.number(self._update.score)
        right = spot.new[0] + kind.total.width(final) if spot.left else spot.new[0]
        return [*layers, *kind.total.layers(text, right, spot.new[1])]


def _points(column: Column, fill: Move, frame: int) -> Decimal | None:
    if frame < fill.first or column.points is None:
        return None
    return rounded(column.points * Decimal(repr(fill.eased(frame))), column.places)


def _parts(move: Move) -> tuple[Move, Move, Move]:
    """Cut a column's stretch in three: the strike, the new value, the points."""
    if move.frames < 3:
        return move, move, move
    strike, new = max(1, move.frames // 5), max(1, move.frames * 3 // 10)
    first = Move(move.first, strike)
    second = Move(first.end, new)
    return first, second, Move(second.end, move.end - second.end)


def labels(columns: Sequence[Column], kind: RowType, plan: Plan) -> list[Layer]:
    """Label the columns and the total."""
    quiet = kind.page.colours.quiet
    layers = [
        kind.label.layer(fitted(kind.label, column.label, spot.room), *spot.label, quiet)
        for column, spot in zip(columns, plan.columns, strict=True)
    ]
    return [*layers, kind.small.layer("points", *plan.total.label, quiet)]
