"""Two entries laid out against each other: figures mirrored at a centre axis, and what to think."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from overlays.draw.axis import Scale, Ticks, nice_range, nice_ticks
from overlays.draw.heading import JOINT
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import Face, fitted, wrapped
from overlays.draw.value import Value
from overlays.kinds._card import bar, room, stand
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.style.colour import Colour
from overlays.style.house import Style

__all__ = ["HeadToHeadContent", "Side", "VersusRow", "versus_scene"]


@dataclass(frozen=True, slots=True)
class Side:
    """One of two entries.

    Parameters
    ----------
    name, note : str
        The entry's.
    colour : int
        The entry's place in the session.
    """

    name: str
    note: str
    colour: int


@dataclass(frozen=True, slots=True)
class VersusRow:
    """A figure of both.

    Parameters
    ----------
    label : str
        What it is called, and which way is better if that is down.
    unit : str
        As set on screen.
    texts : (str, str)
        The numbers as written; a dash where one is missing.
    values : (float or None, float or None)
        The numbers.
    lead : str
        Who is ahead; empty where they are level or cannot be compared.
    by : str
        By how much, as written, without unit; empty likewise.
    by_unit : str
        The unit of that in words or as set.
    verdict : str
        Whether the gap is real, in words.
    real : bool or None
        The same; None where nobody can say.
    ahead : int or None
        0 or 1, the entry that is ahead.
    """

    label: str
    unit: str
    texts: tuple[str, str]
    values: tuple[float | None, float | None]
    lead: str
    by: str
    by_unit: str
    verdict: str
    real: bool | None
    ahead: int | None


@dataclass(frozen=True, slots=True)
class HeadToHeadContent(Content):
    """What a head-to-head shows.

    Parameters
    ----------
    title : str
        Between the two names; may be empty.
    caption : tuple of str
        How figures were measured.
    sides : (Side, Side)
        Who is on the left, and who on the right.
    rows : tuple of VersusRow
        In the order of the cue.
    """

    title: str
    caption: tuple[str, ...]
    sides: tuple[Side, Side]
    rows: tuple[VersusRow, ...]

    @property
    def values(self) -> tuple[str, ...]:
        """The differences."""
        return tuple(row.by for row in self.rows if row.by)


_BAR, _RULE, _BAND = 20, 16, 12
# Space under the numbers, and as far as there is room: under the rules, and between rows.
_UNDER, _OVER, _BETWEEN = 18, 14, 64


class _Type:
    """The faces of a head-to-head."""

    def __init__(self, page: Page) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.name = page.face("loud", sizes.title)
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
    _, top = _head(content, room(page), kind)
    grid = _grid(content, kind, top)
    head, _ = _head(content, grid.rect, kind)
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


def _head(content: HeadToHeadContent, rect: Rect, kind: _Type) -> tuple[tuple[Layer, ...], int]:
    """Set the two names at either side, and what this is between them; return where that ends."""
    page, colours = kind.page, kind.page.colours
    pad = page.px(page.style.space.pad)
    inside = Rect(rect.left + pad, rect.top, rect.right - pad, rect.bottom)
    baseline = rect.top + pad + kind.name.cap_height
    middle, width = (inside.left + inside.right) // 2, inside.right - inside.left

    def ends(texts: tuple[str, str], face: Face, between: int, colour: Colour) -> list[Layer]:
        """Set a text at either end, shortened to leave room for what is between."""
        space = (width - between) // 2 - page.px(24)
        left, right = (fitted(face, text, space) for text in texts)
        return [
            *((face.layer(left, inside.left, baseline, colour),) if left else ()),
            *((face.layer(right, inside.right, baseline, colour, "right"),) if right else ()),
        ]

    first, second = content.sides
    layers = ends((first.name, second.name), kind.name, kind.strong.width(content.title),
                  colours.ink)  # fmt: skip
    if content.title:
        layers.append(kind.strong.layer(content.title, middle, baseline, colours.ink, "centre"))
    notes, lines = (first.note, second.note), wrapped(kind.small, content.caption, JOINT, width)
    longest = max(kind.small.width(note) for note in notes)
    if any(notes):
        baseline += page.px(6) + kind.small.line
        layers += ends(notes, kind.small, 0, colours.quiet)
        if len(lines) == 1 and 2 * longest + page.px(48) + kind.small.width(lines[0]) <= width:
            layers.append(kind.small.layer(lines.pop(), middle, baseline, colours.quiet, "centre"))
    # What the notes leave no room for goes under them.
    for index, line in enumerate(lines):
        baseline += page.px(2 if index else 10) + kind.small.line
        layers.append(kind.small.layer(line, middle, baseline, colours.quiet, "centre"))
    return tuple(layers), baseline + page.px(34) - rect.top


def _said(row: VersusRow, page: Page) -> tuple[str, str]:
    """Return who is ahead by how much, and whether that is real."""
    if not row.lead:
        return "", row.verdict
    by = f"{page.number(row.by)}\N{NO-BREAK SPACE}{row.by_unit}".rstrip()
    return f"{row.lead} ahead by {by}", row.verdict


def _grid(content: HeadToHeadContent, kind: _Type, top: int) -> _Grid:
    page, px, space = kind.page, kind.page.px, room(kind.page)
    left, right = space.left + px(page.style.space.pad), space.right - px(page.style.space.pad)
    lines = max(len(_lines(row, kind, right - left)) for row in content.rows)
    solid = kind.value.height + px(_UNDER) + px(_BAR) + px(_RULE) + kind.small.cap_height
    solid += (lines - 1) * kind.small.line
    below = px(20)
    free = (space.bottom - space.top - top - below) / len(content.rows) - solid
    share = min(1.0, max(0.0, free / px(_OVER + _BETWEEN)))
    over, between = round(px(_OVER) * share), round(px(_BETWEEN) * share)
    height = solid + over + between
    rect = stand(page, top + height * len(content.rows) + below)
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
