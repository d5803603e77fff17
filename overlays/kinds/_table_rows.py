"""The rows of a table of standings: laid out for a page, and each drawn once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate, pairwise

from overlays.draw.axis import Scale, Ticks
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import struck
from overlays.kinds._card import FOOT, bar, lines, merged, room, stand, ticks_for, tinted
from overlays.kinds._table import StandingsContent, TableRow
from overlays.style.colour import Colour

__all__ = ["DrawnRow", "Grid", "RowType", "drawn_row", "grid"]

# A row is as high as there is room for, between these; on two lines where it may be so high.
_LEAST, _MOST, _TWO_LINES, _MOST_TWO_LINES = 50, 74, 96, 112
_BAR, _OLD_BAR, _BAND, _BELOW = 14, 4, 12, 24
_MISSING = "–"


class RowType:
    """The faces of a table at a page's scale."""

    def __init__(self, page: Page) -> None:
        colours, sizes = page.colours, page.style.type
        self.page = page
        self.name = page.face("strong", sizes.body)
        self.loud = page.face("loud", sizes.body)
        self.small = page.face("text", sizes.small)
        self.rank = Numerals(page.face("strong", sizes.body), colours.ink)
        self.score = Numerals(page.face("loud", 0.9 * sizes.value), colours.ink)
        self.old = Numerals(page.face("strong", sizes.small), colours.quiet)


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the parts of a table go, in canvas pixels.

    Parameters
    ----------
    rect : Rect
        The card.
    top, height, shown : int
        Upper edge of the rows, height of one, how many are shown.
    rank, was, old, score : int
        Where the numbers end: the place, the place before, the score before, the score.
    name, name_room : int
        Where names begin, and how wide they may be.
    baseline, bar : int
        Of the text, and upper edge of the points' bar, from a row's upper edge.
    scale, ticks : Scale, Ticks
        From points to pixels, and the numbered points.
    stacked : bool
        Whether the bar lies under the name.
    """

    rect: Rect
    top: int
    height: int
    shown: int
    rank: int
    was: int
    old: int
    score: int
    name: int
    name_room: int
    baseline: int
    bar: int
    scale: Scale
    ticks: Ticks
    stacked: bool

    @property
    def area(self) -> Rect:
        """The rows in view."""
        return Rect(self.rect.left, self.top, self.rect.right, self.y(self.shown, 0))

    def y(self, place: float, view: float) -> int:
        """Return the upper edge of a place in the table, `view` being the topmost one."""
        return self.top + round((place - view) * self.height)


def grid(content: StandingsContent, kind: RowType, top: int) -> Grid:
    """Lay a table out under a heading that is `top` pixels high."""
    page, px, space = kind.page, kind.page.px, room(kind.page)
    pad, below = px(page.style.space.pad), px(_BELOW) + px(FOOT)
    free = space.bottom - space.top - top - below
    shown = max(1, min(content.shown or len(content.rows), len(content.rows), free // px(_LEAST)))
    stacked = page.shape == "tall" and free // shown >= px(_TWO_LINES)
    height = min(px(_MOST_TWO_LINES if stacked else _MOST), free // shown)

    ranks = [str(n) for row in content.rows for n in (row.rank, row.old_rank) if n is not None]
    scores = [page.number(s) for row in content.rows for s in (row.score, row.old_score) if s]
    rank = space.left + pad + _widest(kind.rank, ranks)
    was = rank + px(22) + max(_widest(kind.old, ranks), kind.small.width("new"))
    name, score = was + px(24), space.right - pad
    old = score - _widest(kind.score, scores) - px(22)
    olds = old - _widest(kind.old, scores)
    if stacked:
        start, end, name_room = name, score, olds - px(30) - name
    else:
        names = max((kind.loud.width(row.name) for row in content.rows), default=0)
        name_room = min(names, px(320), (olds - name) * 2 // 5)
        start, end = name + name_room + px(26), olds - px(34)
    cap = kind.name.cap_height
    text = cap + px(22) + px(_BAR) if stacked else cap
    baseline = (height - text) // 2 + cap
    sums = [
        sum(points, Decimal(0)) for row in content.rows for points in (row.points, row.old_points)
    ]
    low, high = float(min([Decimal(0), *sums])), float(max([content.most, *sums]))
    high = high if high > low else low + 1
    rect = stand(page, top + shown * height + below)
    return Grid(
        rect=rect,
        top=rect.top + top,
        height=height,
        shown=shown,
        rank=rank,
        was=was,
        old=old,
        score=score,
        name=name,
        name_room=name_room,
        baseline=baseline,
        bar=baseline + px(22) if stacked else (height - px(_BAR)) // 2,
        scale=Scale(low, high, start, end),
        ticks=ticks_for(low, high, end - start, page),
        stacked=stacked,
    )  # fmt: skip


def _widest(numerals: Numerals, texts: Sequence[str]) -> int:
    return max((numerals.width(text) for text in (*texts, _MISSING)), default=0)


@dataclass(frozen=True, slots=True)
class DrawnRow:
    """A row drawn at the canvas' upper edge, part by part.

    Parameters
    ----------
    base : Layer
        Its name, and for a marked row its ground.
    before : tuple of Layer
        Score and bar as they were; of a marked row they stay, set smaller.
    strike : tuple of Layer
        Through the score of a marked row as it was.
    now : tuple of Layer
        Score and bar as they are.
    was : tuple of Layer
        The place it had, struck.
    """

    base: Layer
    before: tuple[Layer, ...]
    strike: tuple[Layer, ...]
    now: tuple[Layer, ...]
    was: tuple[Layer, ...]


def drawn_row(row: TableRow, place: Grid, kind: RowType, *, is_new: bool) -> DrawnRow:
    """Draw a row of a table."""
    page, colours = kind.page, kind.page.colours
    colour = colours.line if row.colour is None or not row.marked else colours.entry(row.colour)
    now = _score(row.score or _MISSING, kind.score, place.score, place, page)
    new_bar = _bar(row.points, colour, place, page)
    before: tuple[Layer, ...] = ()
    strike: tuple[Layer, ...] = ()
    if row.marked and not is_new and row.rescored:
        old = _score(row.old_score or _MISSING, kind.old, place.old, place, page)
        under = place.bar + page.px(_BAR) + page.px(2)
        before = (old, *_plain_bar(row.old_points, colours.line, under, place, page))
        width = page.px(page.style.strokes.rule)
        strike = (struck(old.covers, width, colours.strike),) if row.old_score else ()
    elif not is_new:
        old = _score(row.old_score or _MISSING, kind.score, place.score, place, page)
        before = (old, *_bar(row.old_points, colour, place, page))
    return DrawnRow(
        base=_base(row, place, kind, is_new=is_new),
        before=before,
        strike=strike,
        now=(now, *new_bar),
        was=_was(row, place, kind),
    )


def _base(row: TableRow, place: Grid, kind: RowType, *, is_new: bool) -> Layer:
    page, colours = kind.page, kind.page.colours
    layers = []
    if row.marked and row.colour is not None:
        left, right = place.rect.left, place.rect.right
        layers.append(tinted(Rect(left, 0, right, place.height), row.colour, page))
        band = Rect(left, 0, left + page.px(_BAND), place.height)
        layers.append(block(band, colours.entry(row.colour)))
    if place.stacked or row.marked:
        # Elsewhere lines run through the table; they must not run through what is written.
        start, end = round(place.scale.start), round(place.scale.end)
        space = page.px(8)
        near = (place.bar - space, place.bar + page.px(_BAR) + space)
        top, bottom = near if place.stacked else (0, place.height)
        layers.append(lines(Rect(start, top, end, bottom), place.scale, place.ticks, page))
    face = kind.loud if row.marked else kind.name
    name = fitted(face, row.name, place.name_room)
    layers.append(face.layer(name, place.name, place.baseline, colours.ink))
    if is_new:
        layers.append(kind.small.layer("new", place.was, place.baseline, colours.quiet, "right"))
    return merged(layers)


def _score(text: str, numerals: Numerals, right: int, place: Grid, page: Page) -> Layer:
    return numerals.layer(page.number(text), right, place.baseline)


def _bar(points: Sequence[Decimal], colour: Colour, place: Grid, page: Page) -> tuple[Layer, ...]:
    """Lay points end to end, column by column; with points taken away, as one."""
    if not points or min(points) < 0:
        return _plain_bar(points, colour, place.bar, place, page)
    layers, space, total = [], page.px(2), sum(points, Decimal(0))
    for start, end in pairwise(accumulate(points, initial=Decimal(0))):
        if start != end:
            rect = bar(place.scale, float(start), float(end), place.bar, page.px(_BAR))
            if end != total and rect.right - rect.left > 3 * space:
                rect = Rect(rect.left, rect.top, rect.right - space, rect.bottom)
            layers.append(block(rect, colour))
    return (merged(layers),) if layers else ()


def _plain_bar(
    points: Sequence[Decimal], colour: Colour, top: int, place: Grid, page: Page
) -> tuple[Layer, ...]:
    total = sum(points, Decimal(0))
    if not total:
        return ()
    height = _BAR if top == place.bar else _OLD_BAR
    return (block(bar(place.scale, 0.0, float(total), top, page.px(height)), colour),)


def _was(row: TableRow, place: Grid, kind: RowType) -> tuple[Layer, ...]:
    if row.old_rank is None or row.old_rank == row.rank:
        return ()
    page, colours, strokes = kind.page, kind.page.colours, kind.page.style.strokes
    # The strike sticks out; the name beside it keeps its distance.
    number = kind.old.layer(str(row.old_rank), place.was - page.px(8), place.baseline)
    width, colour = (strokes.rule, colours.strike) if row.marked else (strokes.hair, colours.line)
    return (merged((number, struck(number.covers, page.px(width), colour))),)
