"""A score row: its content, and its frames laid out as a line of columns or as a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.heading import heading
from overlays.draw.motion import Move, staged, wiped
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import Value, struck
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.numbers import fixed, rounded
from overlays.style.house import Style

__all__ = ["Column", "ScoreUpdateContent", "ScoreUpdateScene", "total_text"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the row.

    Parameters
    ----------
    key, label, unit : str
        The points column, what it is called, and its figure's unit as set.
    old, new : str or None
        The figure before this episode and now; None where there is none.
    points : Decimal or None
        As shown; None where the figure is missing.
    most : Decimal
        What could be had.
    places : int
        Decimals of the points.
    """

    key: str
    label: str
    unit: str
    old: str | None
    new: str | None
    points: Decimal | None
    most: Decimal
    places: int


@dataclass(frozen=True, slots=True)
class ScoreUpdateContent(Content):
    """What a score update shows.

    Parameters
    ----------
    title : str
        Of the standings.
    caption : tuple of str
        After which episode.
    name, note : str
        The entry's.
    colour : int
        The entry's place in the session.
    columns : tuple of Column
        In the order of the cue.
    old_score : str or None
        The score before this episode.
    old_rank, rank : int or None
        Places before and now.
    of : int
        How many entries have a rank.
    """

    title: str
    caption: tuple[str, ...]
    name: str
    note: str
    colour: int
    columns: tuple[Column, ...]
    old_score: str | None
    old_rank: int | None
    rank: int | None
    of: int

    @property
    def places(self) -> int:
        """Decimals of the score."""
        return max((column.places for column in self.columns), default=0)


def total_text(content: ScoreUpdateContent, points: Sequence[Decimal | None]) -> str:
    """Return the total of points as it is shown: their sum, to the most decimals any has."""
    total = sum((part for part in points if part is not None), Decimal(0))
    return fixed(total, content.places)


# Heights in a style's lengths, common to both layouts.
_BAR, _MINI_RULE, _TOTAL_RULE = 10, 16, 44


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where the parts of a column go, in canvas pixels: x and baseline of each.

    `left` says whether numbers begin at their x, or end there.
    """

    label: tuple[int, int]
    room: int
    old: tuple[int, int]
    new: tuple[int, int]
    points: tuple[int, int]
    bar: tuple[int, int]
    left: bool


@dataclass(frozen=True, slots=True)
class _Plan:
    """A layout: the panel, and where everything in it goes."""

    rect: Rect
    heading: tuple[Layer, ...]
    name: tuple[int, int]
    name_room: int
    note: tuple[int, int]
    columns: tuple[_Spot, ...]
    total: _Spot
    place: tuple[int, int]
    px_per_point: float
    dividers: tuple[Rect, ...]
    band: Rect


class _Type:
    """The faces of a score row at a page's scale, and what their texts need."""

    def __init__(self, content: ScoreUpdateContent, page: Page) -> None:
        colours, sizes = page.colours, page.style.type
        self.page, self.content = page, content
        self.colour = colours.entry(content.colour)
        self.name = page.face("loud", sizes.title)
        self.small = page.face("text", sizes.small)
        unit = page.face("strong", sizes.small)
        self.old = Numerals(page.face("strong", sizes.body), colours.quiet)
        self.points = Numerals(page.face("loud", sizes.body), self.colour)
        # Without an old score above it, the total stands closer to its label.
        total = sizes.total if self.any_old else sizes.figure
        self.total = Numerals(page.face("loud", total), colours.ink)
        self.new = Value(page.face("loud", sizes.value * 1.4), unit, colours.ink,
                         colours.quiet)  # fmt: skip
        self.place = Numerals(page.face("loud", sizes.title), colours.ink)

    @property
    def any_old(self) -> bool:
        content = self.content
        return content.old_score is not None or any(c.old is not None for c in content.columns)

    @property
    def widest_total(self) -> int:
        most = sum((column.most for column in self.content.columns), Decimal(0))
        return self.total.width(self.page.number(fixed(most, self.content.places)))

    def place_width(self) -> int:
        content = self.content
        old = self.old.width(str(content.old_rank)) + self.page.px(22) if content.old_rank else 0
        new = self.place.width(str(content.rank or 0)) + self.page.px(8)
        return old + new + self.small.width(f"of {content.of}")

    def of(self, column: Column) -> str:
        return f"of {self.page.number(f'{column.most.normalize():f}')}"


def _wide(kind: _Type) -> _Plan:
    """Lay the row out as one line of columns, the score at its end."""
    page, style, content = kind.page, kind.page.style, kind.content
    safe, pad, apart = page.graphics, page.px(style.space.pad), page.px(style.space.apart)
    inset = round(apart * 0.75)
    left, right = safe.left + pad, safe.right - pad
    name_room = min(
        max(kind.name.width(content.name), kind.small.width(content.note)), page.px(330)
    )
    last_left = right - max(kind.widest_total, kind.place_width())
    first = left + name_room + apart
    width = (last_left - inset - first) / max(1, len(content.columns))
    lefts = [round(first + width * i) for i in range(len(content.columns) + 1)]

    layers, below = heading(
        content.title, content.caption, Rect(safe.left, 0, safe.right, 0), page, left=left
    )
    label = below + kind.small.cap_height
    old = label + page.px(20) + kind.old.face.cap_height
    if kind.any_old:
        new = old + page.px(24) + kind.new.height
    else:
        new = label + page.px(26) + kind.total.face.cap_height
    bar = new + page.px(32)
    points = bar + page.px(_BAR + _MINI_RULE + 18) + kind.points.face.cap_height
    height = points + page.px(36 + _BAR + _TOTAL_RULE)
    rect = Rect(safe.left, safe.bottom - height, safe.right, safe.bottom)
    label, old, new, bar, points = (rect.top + y for y in (label, old, new, bar, points))

    def spot(x: int, room: int) -> _Spot:
        return _Spot((x, label), room, (x, old), (x, new), (x, points), (x, bar), True)

    columns = tuple(spot(x + inset, round(width) - inset - page.px(10)) for x in lefts[:-1])
    hair = page.px(style.strokes.hair)
    dividers = tuple(
        Rect(x, rect.top + below, x + hair, points) for x in (*lefts[:-1], last_left - inset)
    )
    most = max((float(c.most) for c in content.columns), default=1.0)
    return _Plan(
        rect=rect,
        heading=tuple(_shifted(layer, rect.top) for layer in layers),
        name=(left, new),
        name_room=name_room,
        note=(left, new + kind.small.line + page.px(6)),
        columns=columns,
        total=spot(last_left, right - last_left),
        place=(last_left, points),
        band=Rect(rect.left, rect.top + below, rect.left + page.px(12), points),
        px_per_point=(width - inset - page.px(22)) / most,
        dividers=dividers,
    )


def _shifted(layer: Layer, down: int) -> Layer:
    return Layer(layer.patch, layer.left, layer.top + down)


def _tall(kind: _Type) -> _Plan:
    """Lay the columns out as lines under one another, the score at the foot."""
    page, style, content = kind.page, kind.page.style, kind.content
    safe, pad = page.graphics, page.px(style.space.pad)
    left, right = safe.left + pad, safe.right - pad
    layers, below = heading(
        content.title, content.caption, Rect(safe.left, 0, safe.right, 0), page, left=left
    )
    name = below + kind.name.cap_height
    name_room = right - left - page.px(22) - kind.small.width(content.note)
    rows_top = name + page.px(34)
    total_height = kind.total.face.cap_height + page.px(52)
    foot = page.px(30) + page.px(_BAR) + page.px(_TOTAL_RULE)
    bottom = safe.bottom if page.shape != "tall" else round(page.height * 0.84)
    count = max(1, len(content.columns))
    room = bottom - safe.top - rows_top - total_height - foot
    line = min(page.px(118), room // count)
    height = rows_top + line * count + total_height + foot
    rect = Rect(safe.left, bottom - height, safe.right, bottom)
    top = rect.top + rows_top
    old_right = left + round((right - left) * 0.475)
    new_right = left + round((right - left) * 0.665)
    ofs = [kind.small.width(kind.of(column)) for column in content.columns]
    points_right = right - max(ofs, default=0) - page.px(8)

    def spot(y: int, deep: int) -> _Spot:
        """Place a line whose upper edge is `y`."""
        middle = y + deep // 2
        label = middle - page.px(6)
        return _Spot(
            (left, label), page.px(320), (old_right, middle + kind.old.face.cap_height // 2),
            (new_right, middle + kind.new.height // 2),
            (points_right, middle + kind.points.face.cap_height // 2),
            (left, label + page.px(14)), False,
        )  # fmt: skip

    spots = tuple(spot(top + line * i, line) for i in range(count))[: len(content.columns)]
    hair = page.px(style.strokes.hair)
    total_top = top + line * count
    dividers = tuple(
        Rect(left, y, right, y + hair) for y in (*(top + line * i for i in range(count)), total_top)
    )
    total = total_top + total_height // 2 + kind.total.face.cap_height // 2
    most = max((float(c.most) for c in content.columns), default=1.0)
    return _Plan(
        rect=rect,
        heading=tuple(_shifted(layer, rect.top) for layer in layers),
        name=(left, rect.top + name),
        name_room=name_room,
        note=(left + min(name_room, kind.name.width(content.name)) + page.px(22), rect.top + name),
        columns=spots,
        total=_Spot((left, total), page.px(200), (old_right, total), (new_right, total),
                    (0, 0), (0, 0), False),
        place=(right - kind.place_width(), total),
        band=Rect(rect.left, rect.top + name - kind.name.cap_height - page.px(6),
                  rect.left + page.px(12), rect.top + name + page.px(6)),
        px_per_point=page.px(300) / most,
        dividers=dividers,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Cell:
    """A column drawn: what stands from the start, what arrives, how its points are set."""

    old: Layer | None
    strike: Layer | None
    new: tuple[Layer, ...]
    bar: Layer
    share: Layer
    column: Column
    spot: _Spot


class ScoreUpdateScene:
    """The frames of a score update."""

    def __init__(self, content: ScoreUpdateContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content = content
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._kind = kind = _Type(content, page)
        self._plan = plan = _wide(kind) if page.shape == "wide" else _tall(kind)
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
        most = float(sum((c.most for c in self._content.columns), Decimal(0))) or 1.0
        body = Rect(rect.left, rect.bottom - page.px(_TOTAL_RULE), rect.right, rect.bottom)
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
            label = fitted(kind.small, column.label, spot.room)
            layers.append(kind.small.layer(label, *spot.label, colours.quiet))
            layers += self._mini_rule(column, spot)
        layers.append(kind.small.layer("points", *plan.total.label, colours.quiet))
        layers.append(block(plan.band, kind.colour))
        return tuple(layers)

    def _mini_rule(self, column: Column, spot: _Spot) -> list[Layer]:
        page = self._page
        x, y = spot.bar
        long = max(2, round(float(column.most) * self._plan.px_per_point))
        top = y + page.px(_BAR)
        body = Rect(x, top, x + long, top + page.px(_MINI_RULE))
        scale = Scale(0.0, float(column.most), x, x + long)
        ticks = nice_ticks(0.0, float(column.most), 3)
        return [strip(body, page), engraved(body, "top", scale, ticks, page)]

    def _number(self, numerals: Numerals, text: str, at: tuple[int, int], *, left: bool) -> Layer:
        shown = self._page.number(text)
        right = at[0] + numerals.width(shown) if left else at[0]
        return numerals.layer(shown, right, at[1])

    def _strike(self, layer: Layer) -> Layer:
        width = self._page.px(self._page.style.strokes.rule)
        return struck(layer.covers, width, self._page.colours.strike)

    def _cell(self, column: Column, spot: _Spot, start: float) -> _Cell:
        kind, page = self._kind, self._page
        changed = column.old is not None and column.old != column.new
        old = (
            self._number(kind.old, column.old, spot.old, left=spot.left)
            if changed and column.old
            else None
        )
        text = page.number(column.new) if column.new is not None else "–"
        digits = kind.new.digits_width(text)
        x = spot.new[0] if spot.left else spot.new[0] - digits
        new = kind.new.layers(text, column.unit, x, spot.new[1])
        points = float(column.points or 0)
        long = round(points * self._plan.px_per_point)
        bar = block(Rect(spot.bar[0], spot.bar[1], spot.bar[0] + max(1, long),
                         spot.bar[1] + page.px(_BAR)), kind.colour)  # fmt: skip
        first, last = (round(self._total_scale.at(value)) for value in (start, start + points))
        top = self._plan.rect.bottom - page.px(_TOTAL_RULE) - page.px(_BAR)
        space = page.px(2) if last - first > page.px(6) else 0
        share = block(Rect(first, top, max(first + 1, last - space), top + page.px(_BAR)),
                      kind.colour)  # fmt: skip
        return _Cell(old, None if old is None else self._strike(old), new, bar, share, column, spot)

    def _struck_score(self) -> tuple[Layer, Layer] | None:
        if self._content.old_score is None:
            return None
        x, baseline = self._plan.total.label
        beside = x + self._kind.small.width("points") + self._page.px(20)
        old = self._number(self._kind.old, self._content.old_score, (beside, baseline), left=True)
        return old, self._strike(old)

    def _place_layers(self) -> tuple[Layer | None, Layer | None, tuple[Layer, ...]]:
        content, kind = self._content, self._kind
        x, baseline = self._plan.place
        if content.rank is None:
            return None, None, ()
        old = strike = None
        if content.old_rank is not None and content.old_rank != content.rank:
            old = self._number(kind.old, str(content.old_rank), (x, baseline), left=True)
            strike = self._strike(old)
            x += kind.old.width(str(content.old_rank)) + self._page.px(22)
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
        points = self._points_at(cell, move, frame)
        if points is None:
            return layers + (self._no_points(cell) if frame >= fill.first else [])
        if points > 0:
            layers += wiped((cell.bar,), fill, frame) + wiped((cell.share,), fill, frame)
        text = self._page.number(fixed(points, cell.column.places))
        x, baseline = cell.spot.points
        final = self._page.number(fixed(cell.column.points or 0, cell.column.places))
        right = x + self._kind.points.width(final) if cell.spot.left else x
        layers += self._kind.points.layers(text, right, baseline)
        layers.append(self._of(cell, right))
        return layers

    def _of(self, cell: _Cell, right: int) -> Layer:
        kind = self._kind
        return kind.small.layer(kind.of(cell.column), right + self._page.px(8),
                                cell.spot.points[1], self._page.colours.quiet)  # fmt: skip

    def _no_points(self, cell: _Cell) -> list[Layer]:
        x, baseline = cell.spot.points
        width = self._kind.points.width("–")
        right = x + width if cell.spot.left else x
        dash = self._kind.points.layers("–", right, baseline)
        return [*dash, self._of(cell, right)]

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
    strike, new = max(1, move.frames // 5), max(1, move.frames * 3 // 10)
    fill = max(1, move.frames - strike - new)
    first = Move(move.first, strike)
    second = Move(first.end, new)
    return first, second, Move(second.end, fill)
