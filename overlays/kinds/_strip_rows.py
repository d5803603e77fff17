"""A result strip laid out: one row an entry, all values on one ruled scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.axis import Scale, Ticks, nice_range
from overlays.draw.heading import heading
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import fitted
from overlays.draw.value import Value
from overlays.kinds._card import FOOT, bar, foot, lines, merged, room, stand, ticks_for
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["ResultRow", "ResultStripContent", "result_strip_scene"]


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One entry's figure.

    Parameters
    ----------
    name : str
        The entry's.
    colour : int
        The entry's place in the session.
    text : str
        The number as written; a dash where there is none.
    value : float or None
        The number; None where it is missing.
    spread : (float, float) or None
        Lowest and highest repeat; None with fewer than two.
    note : str
        What must be said beside it: fewer repeats than planned, or why it is missing.
    """

    name: str
    colour: int
    text: str
    value: float | None
    spread: tuple[float, float] | None
    note: str


@dataclass(frozen=True, slots=True)
class ResultStripContent(Content):
    """What a result strip shows.

    Parameters
    ----------
    title : str
        The figure, unless the cue says otherwise.
    caption : tuple of str
        How it was taken, which way is better, what the bracket is.
    unit : str
        As set on screen.
    rows : tuple of ResultRow
        The best first, the missing last.
    """

    title: str
    caption: tuple[str, ...]
    unit: str
    rows: tuple[ResultRow, ...]


# A row's height, at least and at most, and from where on its bar lies under its name.
_LEAST, _MOST, _TWO_LINES, _MOST_TWO_LINES = 50, 96, 96, 128
_BRACKET = 9


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the parts of the rows go; `baseline` and `bar` count from a row's upper edge."""

    rect: Rect
    top: int
    height: int
    name: int
    name_room: int
    value: int
    baseline: int
    bar: int
    thick: int
    scale: Scale
    ticks: Ticks
    stacked: bool


class _Type:
    """The faces of a result strip."""

    def __init__(self, page: Page) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.name = page.face("strong", sizes.body)
        self.small = page.face("text", sizes.small)
        self.value = Value(page.face("loud", sizes.value), self.small, colours.ink, colours.quiet)


def _grid(content: ResultStripContent, kind: _Type, top: int) -> _Grid:
    page, px, space, rows = kind.page, kind.page.px, room(kind.page), content.rows
    left, right = space.left + px(page.style.space.pad), space.right - px(page.style.space.pad)
    below = px(20) + px(FOOT)
    free = (space.bottom - space.top - top - below) // len(rows)
    stacked = page.shape == "tall" and free >= px(_TWO_LINES)
    height = min(free, px(_MOST_TWO_LINES if stacked else _MOST))
    unit = kind.value.width("", content.unit)
    value = unit + max(kind.value.digits_width(page.number(row.text)) for row in rows)
    if stacked:
        name_room, start, end = right - value - px(30) - left, left, right
    else:
        wanted = max(_name_width(row, kind) for row in rows)
        name_room = min(wanted, (right - left) * 2 // 5)
        start, end = left + name_room + px(30), right - value - px(34)
    ends = [0.0] + [v for row in rows for v in (row.value, *(row.spread or ())) if v is not None]
    most = 10 if end - start > px(700) else 6
    low, high = nice_range(min(ends), max(ends), most)
    thick = min(px(26), height // 3)
    cap = kind.value.height
    text = cap + px(20) + thick + px(_BRACKET) if stacked else cap
    baseline = (height - text) // 2 + cap
    rect = stand(page, top + height * len(rows) + below)
    return _Grid(
        rect=rect,
        top=rect.top + top,
        height=height,
        name=left,
        name_room=name_room,
        value=right - unit,
        baseline=baseline,
        bar=baseline + px(20) if stacked else (height - thick) // 2,
        thick=thick,
        scale=Scale(low, high, start, end),
        ticks=ticks_for(low, high, end - start, page),
        stacked=stacked,
    )


def _name_width(row: ResultRow, kind: _Type) -> int:
    """Return how wide a name is with the note behind it; a missing figure's goes elsewhere."""
    note = row.note if row.value is not None else ""
    return kind.name.width(row.name) + (kind.page.px(16) + kind.small.width(note) if note else 0)


def result_strip_scene(content: ResultStripContent, stage: Stage, style: Style) -> RowsScene:
    """Draw a result strip."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    kind, space = _Type(page), room(page)
    left = space.left + page.px(style.space.pad)
    above = Rect(space.left, 0, space.right, 0)
    _, top = heading(content.title, content.caption, above, page, left=left)
    grid = _grid(content, kind, top)
    title, _ = heading(content.title, content.caption, grid.rect, page, left=left)
    ruled = foot(grid.rect, grid.scale, grid.ticks, page, says=content.unit)
    drawn = [_row(row, content.unit, i, grid, kind) for i, row in enumerate(content.rows)]
    return RowsScene(
        stage,
        style,
        rect=grid.rect,
        plate=(panel(grid.rect, page), *title),
        ruled=(*_lines(content, grid, page), *ruled),
        # The best comes last.
        rows=drawn[::-1],
        step=2.0,
    )


def _lines(content: ResultStripContent, grid: _Grid, page: Page) -> list[Layer]:
    start, end = round(grid.scale.start), round(grid.scale.end)
    if not grid.stacked:
        bottom = grid.rect.bottom - page.px(FOOT)
        return [lines(Rect(start, grid.top, end, bottom), grid.scale, grid.ticks, page)]
    return [
        lines(Rect(start, top - page.px(6), end, top + grid.thick + page.px(_BRACKET + 6)),
              grid.scale, grid.ticks, page)
        for i, row in enumerate(content.rows)
        if row.value is not None
        for top in (grid.top + i * grid.height + grid.bar,)
    ]  # fmt: skip


def _row(row: ResultRow, unit: str, index: int, grid: _Grid, kind: _Type) -> Sequence[Part]:
    page, colours = kind.page, kind.page.colours
    top = grid.top + index * grid.height
    baseline = top + grid.baseline
    text = page.number(row.text)
    x = grid.value - kind.value.digits_width(text)
    number = kind.value.layers(text, unit if row.value is not None else "", x, baseline)
    if row.value is None:
        name = fitted(kind.name, row.name, grid.name_room)
        said = _reason(row.note, top, grid, kind)
        return (Part((kind.name.layer(name, grid.name, baseline, colours.ink), said, *number)),)
    note_room = kind.small.width(row.note) + page.px(16) if row.note else 0
    name = fitted(kind.name, row.name, grid.name_room - note_room)
    named = [kind.name.layer(name, grid.name, baseline, colours.ink)]
    if row.note:
        x = grid.name + kind.name.width(name) + page.px(16)
        named.append(kind.small.layer(row.note, x, baseline, colours.quiet))
    rect = bar(grid.scale, 0.0, row.value, top + grid.bar, grid.thick)
    bars = [block(rect, colours.entry(row.colour))]
    parts = [Part((merged(named),), 0.0, 0.3)]
    towards = "right" if row.value >= 0 else "left"
    parts.append(Part(tuple(bars), 0.15, 0.75, towards))  # type: ignore[arg-type]
    if row.spread is not None:
        parts.append(Part((_bracket(row.spread, rect.bottom + page.px(3), grid.scale, page),),
                          0.7, 1.0))  # fmt: skip
    return (*parts, Part(number, 0.5, 1.0))


def _reason(note: str, top: int, grid: _Grid, kind: _Type) -> Layer:
    """Say why a figure is missing where its bar would be, clear of the line at zero."""
    start, end, space = round(grid.scale.start), round(grid.scale.end), kind.page.px(12)
    x, baseline = start, top + grid.bar + kind.small.cap_height
    if not grid.stacked:
        zero = round(grid.scale.at(0.0))
        x = space + (zero if 2 * (end - zero) > end - start else start)
        baseline = top + grid.baseline
    text = fitted(kind.small, note, end - x)
    return kind.small.layer(text, x, baseline, kind.page.colours.quiet)


def _bracket(spread: tuple[float, float], top: int, scale: Scale, page: Page) -> Layer:
    """Draw a fine bracket under a bar's end, from the lowest repeat to the highest."""
    hair, high = page.px(page.style.strokes.hair), page.px(_BRACKET)
    left, right = (round(scale.at(value)) for value in spread)
    right = max(right, left + hair)
    sheet = Sheet(Rect(left, top, right + hair, top + high))
    for x in (left, right):
        sheet.rect(Rect(x, top, x + hair, top + high), page.colours.ink)
    return sheet.rect(Rect(left, top + high - hair, right, top + high), page.colours.ink).layer()
