"""Repeats laid out: one line a run, each value a mark on one scale, and how far apart they lie."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.axis import Scale, Ticks, nice_range
from overlays.draw.heading import heading
from overlays.draw.page import Page
from overlays.draw.panel import arrow, panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import paragraph
from overlays.draw.value import Value, struck
from overlays.kinds._card import FOOT, foot, lines, merged, room, stand, ticks_for
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["RepeatRow", "RepeatsContent", "repeats_scene"]


@dataclass(frozen=True, slots=True)
class RepeatRow:
    """One run.

    Parameters
    ----------
    name : str
        "Run 1".
    value : float or None
        Its figure; None where it has none, or the run was left out.
    text : str
        The number as written; a dash where there is none, nothing where the run was left out.
    says : str
        On the flag of the run that is shown; why a run was left out, or has no value.
    shown : bool
        Whether it is the run that the programme shows.
    struck : bool
        Whether it was left out.
    """

    name: str
    value: float | None
    text: str
    says: str = ""
    shown: bool = False
    struck: bool = False


@dataclass(frozen=True, slots=True)
class RepeatsContent(Content):
    """What a picture of repeats shows.

    Parameters
    ----------
    title : str
        Whose runs, and of what figure.
    caption : tuple of str
        Of which test, which of how many runs is shown, and by what it was chosen.
    colour : int
        The entry's place in the session.
    unit : str
        As set on screen.
    rows : tuple of RepeatRow
        The runs that count in their order, then those left out.
    apart : str
        The difference of the outermost numbers as shown; nothing with fewer than two.
    from_zero : bool
        Whether the scale begins at zero.
    """

    title: str
    caption: tuple[str, ...]
    colour: int
    unit: str
    rows: tuple[RepeatRow, ...]
    apart: str
    from_zero: bool

    @property
    def used(self) -> tuple[RepeatRow, ...]:
        """The runs that count."""
        return tuple(row for row in self.rows if not row.struck)

    @property
    def left_out(self) -> tuple[RepeatRow, ...]:
        """The others."""
        return tuple(row for row in self.rows if row.struck)

    @property
    def values(self) -> tuple[str, ...]:
        """The number of every run, and how far apart the outermost are."""
        shown = [row.text for row in self.rows if row.value is not None]
        return (*shown, *((self.apart,) if self.apart else ()))


# Heights of a row, at most; of the line that measures how far apart they are; above those left out.
_MOST, _APART, _SPACE = 84, 66, 16
# A mark's width, and the shares of a row that marks and the flag on one take.
_MARK, _HIGH = 8, 0.62
# A close-up shows this share of the values at least, so that next to nothing looks like it.
_LEAST_SHOWN = 0.06


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the parts go; `baseline` counts from a row's upper edge.

    `left_out` are the upper edges of the rows of runs left out, and the last one's lower edge.
    """

    rect: Rect
    top: int
    height: int
    name: int
    value: int
    right: int
    baseline: int
    scale: Scale
    ticks: Ticks
    apart: int
    ruled: int
    left_out: tuple[int, ...]

    def row(self, index: int) -> int:
        """Return the upper edge of a row."""
        return self.top + index * self.height


class _Type:
    """The faces of a picture of repeats."""

    def __init__(self, page: Page) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.name = page.face("strong", sizes.body)
        self.small = page.face("text", sizes.small)
        self.flag = page.face("strong", sizes.small)
        loud = page.face("loud", sizes.value)
        self.shown = Value(loud, self.small, colours.ink, colours.quiet)
        self.other = Value(page.face("text", sizes.value), self.small, colours.ink, colours.quiet)


def repeats_scene(content: RepeatsContent, stage: Stage, style: Style) -> RowsScene:
    """Draw the repeats of an entry."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    kind, space = _Type(page), room(page)
    left = space.left + page.px(style.space.pad)
    above = Rect(space.left, 0, space.right, 0)
    _, top = heading(content.title, content.caption, above, page, left=left)
    grid = _grid(content, kind, top)
    title, _ = heading(content.title, content.caption, grid.rect, page, left=left)
    ruled = Rect(grid.rect.left, grid.rect.top, grid.rect.right, grid.ruled)
    measured = [_row(row, content, i, grid, kind) for i, row in enumerate(content.used)]
    flags = [_flag(row, content, i, grid, kind) for i, row in enumerate(content.used) if row.shown]
    last = [_struck_row(row, i, grid, kind) for i, row in enumerate(content.left_out)]
    return RowsScene(
        stage,
        style,
        rect=grid.rect,
        plate=(panel(grid.rect, page), *title),
        ruled=(*_lanes(content, grid, page),
               *foot(ruled, grid.scale, grid.ticks, page, says=content.unit)),
        rows=[*measured, *_measure(content, grid, kind), *(f for f in flags if f), *last],
        step=1.6,
    )  # fmt: skip


def _grid(content: RepeatsContent, kind: _Type, top: int) -> _Grid:
    page, px, space = kind.page, kind.page.px, room(kind.page)
    left, right = space.left + px(page.style.space.pad), space.right - px(page.style.space.pad)
    unit = kind.shown.width("", content.unit)
    value = unit + max(
        face.digits_width(page.number(row.text))
        for row in content.used for face in (kind.shown, kind.other)
    )  # fmt: skip
    name = max(kind.name.width(row.name) for row in content.rows)
    start, end = left + name + px(36), right - value - px(40)
    heights = [_left_out_height(row, right - start, kind) for row in content.left_out]
    aside = px(_APART) if content.apart else px(_SPACE)
    below = aside + px(FOOT) + (px(_SPACE) + sum(heights) if heights else 0)
    free = max(space.bottom - space.top - top - below, 1)
    height = max(1, min(px(_MOST), free // len(content.used)))
    low, high = _range(content, 8 if end - start > px(600) else 5)
    rect = stand(page, top + height * len(content.used) + below)
    rows_end = rect.top + top + height * len(content.used)
    left_out = rows_end + aside + px(FOOT) + px(_SPACE) // 2
    return _Grid(
        rect=rect,
        top=rect.top + top,
        height=height,
        name=left,
        value=right - unit,
        right=right,
        baseline=(height + kind.name.cap_height) // 2,
        scale=Scale(low, high, start, end),
        ticks=ticks_for(low, high, end - start, page),
        apart=rows_end + aside // 2,
        ruled=rows_end + aside + px(FOOT),
        left_out=tuple(left_out + sum(heights[:i]) for i in range(len(heights) + 1)),
    )


def _left_out_height(row: RepeatRow, width: int, kind: _Type) -> int:
    count = len(paragraph(kind.small, _why(row), width, most=2))
    return count * kind.small.line + kind.page.px(_SPACE)


def _why(row: RepeatRow) -> str:
    return f"left out: {row.says}"


def _range(content: RepeatsContent, most: int) -> tuple[float, float]:
    known = [row.value for row in content.used if row.value is not None]
    low, high = min(known), max(known)
    if content.from_zero:
        return nice_range(min(0.0, low), max(0.0, high), most)
    least = _LEAST_SHOWN * max(abs(low), abs(high)) or 1.0
    margin = max(0.4 * (high - low), (least - (high - low)) / 2)
    return nice_range(low - margin, high + margin, most)


def _lanes(content: RepeatsContent, grid: _Grid, page: Page) -> list[Layer]:
    """Draw upright lines behind the marks, not behind words that stand there instead."""
    start, end = round(grid.scale.start), round(grid.scale.end)
    found = []
    for index, row in enumerate(content.used):
        if row.value is not None:
            area = Rect(start, grid.row(index), end, grid.row(index + 1))
            found.append(lines(area, grid.scale, grid.ticks, page))
    return found


def _mark(value: float, index: int, grid: _Grid, page: Page) -> Rect:
    wide, high = page.px(_MARK), round(_HIGH * grid.height)
    x, top = round(grid.scale.at(value) - wide / 2), grid.row(index) + (grid.height - high) // 2
    return Rect(x, top, x + wide, top + high)


def _row(
    row: RepeatRow, content: RepeatsContent, index: int, grid: _Grid, kind: _Type
) -> tuple[Part, ...]:
    page, colours = kind.page, kind.page.colours
    baseline = grid.row(index) + grid.baseline
    face, text = (kind.shown if row.shown else kind.other), page.number(row.text)
    unit = content.unit if row.value is not None else ""
    number = face.layers(text, unit, grid.value - face.digits_width(text), baseline)
    name = kind.name.layer(row.name, grid.name, baseline, colours.ink)
    if row.value is None:
        return (Part((name,), 0.0, 0.4), Part((_reason(row, index, grid, kind), *number), 0.3))
    mark = block(_mark(row.value, index, grid, page), colours.entry(content.colour))
    return (Part((name,), 0.0, 0.4), Part((mark,), 0.3, 0.6), Part(number, 0.5, 1.0))


def _reason(row: RepeatRow, index: int, grid: _Grid, kind: _Type) -> Layer:
    start, end = round(grid.scale.start), round(grid.scale.end)
    return _words(row.says, Rect(start, grid.row(index), end, grid.row(index + 1)), kind)


def _words(text: str, area: Rect, kind: _Type) -> Layer:
    """Set words quietly on at most two lines, in the middle of an area's height."""
    face, colour = kind.small, kind.page.colours.quiet
    fit = max(1, min(2, (area.bottom - area.top) // face.line))
    said = paragraph(face, text, area.right - area.left, most=fit)
    high = face.cap_height + (len(said) - 1) * face.line
    first = area.top + (area.bottom - area.top - high) // 2 + face.cap_height
    return merged(
        [face.layer(line, area.left, first + i * face.line, colour) for i, line in enumerate(said)]
    )


def _flag(
    row: RepeatRow, content: RepeatsContent, index: int, grid: _Grid, kind: _Type
) -> tuple[Part, ...]:
    """Hoist a flag at the mark of the run that is shown, towards the side that has room."""
    if row.value is None or not row.says:
        return ()
    page, colours, face = kind.page, kind.page.colours, kind.flag
    mark = _mark(row.value, index, grid, page)
    wide = face.width(row.says) + 2 * page.px(12)
    right = mark.right + wide <= round(grid.scale.end)
    left = mark.right if right else mark.left - wide
    high = min(mark.bottom - mark.top, face.line + page.px(8))
    top = mark.top
    area = Rect(left, top, left + wide, top + high)
    cut = page.px(page.style.corner.flag)
    outer = [(area.right, area.bottom - cut), (area.right - cut, area.bottom)]
    corners = [(area.left, area.top), (area.right, area.top), *outer, (area.left, area.bottom)]
    if not right:
        corners = [(area.left + area.right - x, y) for x, y in corners]
    ground = Sheet(area).fill(corners, colours.entry(content.colour)).layer()
    baseline = top + (high + face.cap_height) // 2
    text = face.layer(row.says, left + page.px(12), baseline, colours.on_entry)
    return (Part((merged([ground, text]),), 0.0, 1.0, "right" if right else "left"),)


def _measure(content: RepeatsContent, grid: _Grid, kind: _Type) -> list[tuple[Part, ...]]:
    """Measure how far apart the outermost values lie, as on a technical drawing."""
    if not content.apart:
        return []
    page, colours, face = kind.page, kind.page.colours, kind.flag
    known = [row.value for row in content.used if row.value is not None]
    low, high = (grid.scale.at(value) for value in (min(known), max(known)))
    hair, head, y = page.px(page.style.strokes.hair), page.px(18), grid.apart
    outside = high - low < 2.6 * head
    reach = 2.2 * head if outside else 0.0
    sheet = Sheet(Rect(round(low - reach) - 2, grid.top, round(high + reach) + 3, y + head))
    for value, x in ((min(known), low), (max(known), high)):
        column = round(x - hair / 2)
        for top, bottom in _past_words(content, value, grid, page):
            sheet.rect(Rect(column, top, column + hair, bottom or y + head // 2), colours.line)
    pairs = [(low - reach, low), (high, high + reach)] if outside else [(low, high)]
    inset = 0.0 if outside else 0.8 * head
    if high - low >= 1:
        for start, end in pairs:
            sheet.stroke([(start + inset, y), (end - inset, y)], colours.ink, hair)
        towards = 1 if outside else -1
        arrow(sheet, (low, y), (towards, 0), head, colours.ink)
        arrow(sheet, (high, y), (-towards, 0), head, colours.ink)
    text = f"{page.number(content.apart)}\N{NO-BREAK SPACE}{content.unit}".rstrip() + " apart"
    x = round(high + reach) + page.px(14)
    if x + face.width(text) > round(grid.scale.end):
        x = round(low - reach) - page.px(14) - face.width(text)
    x = max(grid.name, x)
    said = face.layer(text, x, y + face.cap_height // 2, colours.ink)
    return [(Part((sheet.layer(),), 0.0, 0.6), Part((said,), 0.5, 1.0))]


def _past_words(
    content: RepeatsContent, value: float, grid: _Grid, page: Page
) -> list[tuple[int, int]]:
    """Return the stretches of a line down from a mark: it stops where words stand in its way.

    An end of 0 is that of the dimension.
    """
    # From the lowest mark in that column, so that none is drawn over.
    column = _mark(value, 0, grid, page)
    last = max(
        i
        for i, row in enumerate(content.used)
        if row.value is not None
        and abs(_mark(row.value, i, grid, page).left - column.left) < page.px(_MARK)
    )
    tops, found = _mark(value, last, grid, page).bottom, []
    for index in range(last + 1, len(content.used)):
        if content.used[index].value is None:
            found.append((tops, grid.row(index)))
            tops = grid.row(index + 1)
    return [*(pair for pair in found if pair[1] > pair[0]), (tops, 0)]


def _struck_row(row: RepeatRow, index: int, grid: _Grid, kind: _Type) -> tuple[Part, ...]:
    """Set a run that was left out: its name struck, and why."""
    page, colours = kind.page, kind.page.colours
    top, bottom = grid.left_out[index : index + 2]
    area = Rect(round(grid.scale.start), top, grid.right, bottom)
    baseline = top + (bottom - top + kind.name.cap_height) // 2
    name = kind.name.layer(row.name, grid.name, baseline, colours.quiet)
    line = struck(name.covers, page.px(page.style.strokes.rule), colours.strike)
    says = _words(_why(row), area, kind)
    return (Part((name,), 0.0, 0.3), Part((line,), 0.3, 0.6), Part((says,), 0.5, 1.0))
