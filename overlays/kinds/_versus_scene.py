"""Two entries laid out against each other: figures mirrored at a centre axis, and what to think."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from overlays.draw.axis import Scale, Ticks, nice_range, nice_ticks
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import Value
from overlays.kinds._card import bar, room, stand
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds._versus_content import HeadToHeadContent, VersusRow
from overlays.kinds._versus_head import versus_head
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["versus_scene"]


_BAR, _RULE, _BAND, _FOOT = 20, 16, 12, 20
# Space under the numbers, and as far as there is room: under the rules, and between rows.
_UNDER, _OVER, _BETWEEN = 18, 14, 64


class _Type:
    """The faces of a head-to-head."""

    def __init__(self, page: Page) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.small = page.face("text", sizes.small)
        self.strong = page.face("strong", sizes.small)
        loud = page.face("loud", sizes.value * 1.1)
        self.value = Value(loud, self.strong, colours.ink, colours.quiet)
        self.behind = Value(loud, self.strong, colours.quiet, colours.quiet)


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the parts of the rows go; the others count from a row's upper edge."""

    rect: Rect
    top: int
    height: int
    left: int
    right: int
    middle: int
    baseline: int
    bar: int
    said: int


def versus_scene(content: HeadToHeadContent, stage: Stage, style: Style) -> RowsScene:
    """Draw a head-to-head."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    kind = _Type(page)
    pictured = True
    _, top = versus_head(content, room(page), page, pictured=pictured)
    if _free(content, kind, top) < 0:
        # Numbers go before pictures.
        pictured = False
        _, top = versus_head(content, room(page), page, pictured=pictured)
    grid = _grid(content, kind, top)
    head, _ = versus_head(content, grid.rect, page, pictured=pictured)
    drawn = [_row(row, content, i, grid, kind) for i, row in enumerate(content.rows)]
    return RowsScene(
        stage,
        style,
        rect=grid.rect,
        plate=(panel(grid.rect, page), *_bands(content, grid.rect, page), *head),
        ruled=[layer for standing, _ in drawn for layer in standing],
        rows=[parts for _, parts in drawn],
        step=3.5,
    )


def _bands(content: HeadToHeadContent, rect: Rect, page: Page) -> tuple[Layer, Layer]:
    """Draw an edge in either entry's colour."""
    wide, cut = page.px(_BAND), round(page.style.corner.panel * page.scale)
    first, second = (page.colours.entry(side.colour) for side in content.sides)
    return (
        block(Rect(rect.left, rect.top, rect.left + wide, rect.bottom), first),
        block(Rect(rect.right - wide, rect.top + cut, rect.right, rect.bottom), second),
    )


def _said(row: VersusRow, page: Page) -> tuple[str, str]:
    """Return who is ahead by how much, and whether that is real."""
    if not row.lead:
        return "", row.verdict
    by = f"{page.number(row.by)}\N{NO-BREAK SPACE}{row.by_unit}".rstrip()
    return f"{row.lead} ahead by {by}", row.verdict


def _solid(content: HeadToHeadContent, kind: _Type) -> int:
    """Return the least height of a row."""
    page, px, space = kind.page, kind.page.px, room(kind.page)
    width = space.right - space.left - 2 * px(page.style.space.pad)
    lines = max(len(_lines(row, kind, width)) for row in content.rows)
    solid = kind.value.height + px(_UNDER) + px(_BAR) + px(_RULE) + kind.small.cap_height
    return solid + (lines - 1) * kind.small.line


def _free(content: HeadToHeadContent, kind: _Type, top: int) -> float:
    """Return the height a row has to spare under a head of `top` pixels; negative if none."""
    space = room(kind.page)
    rows = space.bottom - space.top - top - kind.page.px(_FOOT)
    return rows / len(content.rows) - _solid(content, kind)


def _grid(content: HeadToHeadContent, kind: _Type, top: int) -> _Grid:
    page, px, space = kind.page, kind.page.px, room(kind.page)
    left, right = space.left + px(page.style.space.pad), space.right - px(page.style.space.pad)
    share = min(1.0, max(0.0, _free(content, kind, top) / px(_OVER + _BETWEEN)))
    over, between = round(px(_OVER) * share), round(px(_BETWEEN) * share)
    height = _solid(content, kind) + over + between
    rect = stand(page, top + height * len(content.rows) + px(_FOOT))
    baseline = between // 2 + kind.value.height
    bars = baseline + px(_UNDER)
    return _Grid(
        rect=rect,
        top=rect.top + top,
        height=height,
        left=left,
        right=right,
        middle=(left + right) // 2,
        baseline=baseline,
        bar=bars,
        said=bars + px(_BAR) + px(_RULE) + over + kind.small.cap_height,
    )


def _lines(row: VersusRow, kind: _Type, width: int) -> list[tuple[str, str]]:
    """Return the lines under a figure, each as what is set strongly and what quietly."""
    lead, verdict = _said(row, kind.page)
    if not lead or not verdict:
        return [(lead, verdict)]
    joint = kind.small.width(", ")
    if kind.strong.width(lead) + joint + kind.small.width(verdict) <= width:
        return [(lead, f", {verdict}")]
    return [(lead, ""), ("", verdict)]


def _row(
    row: VersusRow, content: HeadToHeadContent, index: int, grid: _Grid, kind: _Type
) -> tuple[tuple[Layer, ...], Sequence[Part]]:
    """Return what stands from the start, label and rules, and what then comes."""
    page, colours, px = kind.page, kind.page.colours, kind.page.px
    top = grid.top + index * grid.height
    ticks, sides = _scales(row, grid, page)
    hair = px(page.style.strokes.hair)
    under = top + grid.bar + px(_BAR)
    standing: list[Layer] = []
    bars: list[Part] = []
    numbers: list[Layer] = []
    for at, scale in enumerate(sides):
        first, last = sorted((round(scale.start), round(scale.end)))
        body = Rect(first, under, last, under + px(_RULE))
        standing += [strip(body, page), engraved(body, "top", scale, ticks, page)]
        value = row.values[at]
        if value is not None:
            rect = bar(scale, 0.0, value, top + grid.bar, px(_BAR))
            onwards = rect.left >= round(scale.at(0.0))
            colour = colours.entry(content.sides[at].colour)
            grows: Literal["right", "left"] = "right" if onwards else "left"
            bars.append(Part((block(rect, colour),), 0.0, 0.5, grows))
        if scale.low < 0 < scale.high:
            zero = round(scale.at(0.0)) - hair // 2
            standing.append(block(Rect(zero, top + grid.bar, zero + hair, under), colours.line))
        beaten = row.real is True and row.ahead != at
        set_in = kind.behind if beaten else kind.value
        text, unit = page.number(row.texts[at]), row.unit if value is not None else ""
        x = grid.left if at == 0 else grid.right - set_in.width(text, unit)
        numbers += set_in.layers(text, unit, x, top + grid.baseline)
    label_room = grid.right - grid.left - 2 * max(layer.covers.right - layer.covers.left
                                                  for layer in numbers) - px(80)  # fmt: skip
    label = fitted(kind.small, row.label, label_room)
    standing.append(kind.small.layer(label, grid.middle, top + grid.baseline, colours.quiet,
                                     "centre"))  # fmt: skip
    axis = Rect(grid.middle - hair, top + grid.bar - px(4), grid.middle + hair, under + px(_RULE))
    standing.append(block(axis, colours.ink))
    return tuple(standing), (
        *bars,
        Part(tuple(numbers), 0.3, 0.65),
        *_verdict(row, top, grid, kind),
    )


def _scales(row: VersusRow, grid: _Grid, page: Page) -> tuple[Ticks, tuple[Scale, Scale]]:
    """Scale a figure the same way to both sides, from the axis outwards.

    Zero is at the axis unless there are values on either side of it; what is below zero only grows
    outwards all the same.
    """
    values = [value for value in row.values if value is not None]
    hair = page.px(page.style.strokes.hair)
    ends = ((grid.middle - hair, grid.left), (grid.middle + hair, grid.right))
    most = max(2, (grid.right - grid.middle) // page.px(130))
    low, high = nice_range(min(0.0, *values), max(0.0, *values), most) if values else (0.0, 1.0)
    if high <= 0:
        ends = ((ends[0][1], ends[0][0]), (ends[1][1], ends[1][0]))
    first, second = (Scale(low, high, *pair) for pair in ends)
    return nice_ticks(low, high, most), (first, second)


def _verdict(row: VersusRow, top: int, grid: _Grid, kind: _Type) -> list[Part]:
    """Set who is ahead, and quietly whether that is real, centred under the figure."""
    colours, parts = kind.page.colours, []
    baseline = top + grid.said
    for lead, verdict in _lines(row, kind, grid.right - grid.left):
        wide = kind.strong.width(lead)
        doubt = fitted(kind.small, verdict, grid.right - grid.left - wide)
        x = grid.middle - (wide + kind.small.width(doubt)) // 2
        layers = [kind.strong.layer(lead, x, baseline, colours.ink)] if lead else []
        if doubt:
            layers.append(kind.small.layer(doubt, x + wide, baseline, colours.quiet))
        parts.append(Part(tuple(layers), 0.6, 1.0))
        baseline += kind.small.line
    return parts
