"""A figure against an attribute, laid out between two rules that stand square to each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from overlays.draw.axis import Axes, Scale, nice_range, nice_ticks
from overlays.draw.heading import heading
from overlays.draw.page import Page
from overlays.draw.panel import flag, panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import RULE, engraved, strip
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import fitted
from overlays.kinds._beside import beside
from overlays.kinds._card import FOOT, merged, numbered, stand, ticks_for
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.numbers import fixed
from overlays.style.colour import Colour
from overlays.style.house import Style

__all__ = ["Spot", "ValueContent", "frontier_line", "value_scene"]


@dataclass(frozen=True, slots=True)
class Spot:
    """One entry.

    Parameters
    ----------
    name : str
        The entry's.
    colour : int
        The entry's place in the session.
    attribute, figure : float
        Across and upwards.
    says : (str, str)
        Both as written, without unit.
    """

    name: str
    colour: int
    attribute: float
    figure: float
    says: tuple[str, str]


@dataclass(frozen=True, slots=True)
class ValueContent(Content):
    """What a figure against an attribute shows.

    Parameters
    ----------
    title : str
        Set large.
    caption : tuple of str
        What is across and upwards, which way is better, who is left out.
    across : str
        The attribute and its unit, set on the rule at the foot.
    across_unit, unit : str
        Units of the attribute and of the figure as set on screen.
    spots : tuple of Spot
        The best attribute first.
    frontier : tuple of int
        The spots that none betters in both, the best attribute first.
    less, lower : bool
        Whether less of the attribute, and a lower figure, is better.
    """

    title: str
    caption: tuple[str, ...]
    across: str
    across_unit: str
    unit: str
    spots: tuple[Spot, ...]
    frontier: tuple[int, ...]
    less: bool
    lower: bool


# Share of the canvas' height; how large marks are; space inside a flag.
_HEIGHT = {"wide": 0.8, "square": 0.9, "tall": 0.56}
_MARK, _SIDE, _NAME, _APART = 12, 12, 230, 6
# What it is worth to a label, in its heights, not to lie on the frontier or on a line of the grid.
_ON_LINE, _ON_GRID = 4.0, 0.6
# Up to so many entries each says both its numbers; more only say their figures.
_FEW = 6


class _Type:
    """The faces of a plot of values."""

    def __init__(self, page: Page) -> None:
        sizes = page.style.type
        self.page = page
        self.strong = page.face("strong", sizes.small)
        self.small = page.face("text", sizes.small)
        self.engraved = page.face("strong", sizes.floor)


def value_scene(content: ValueContent, stage: Stage, style: Style) -> RowsScene:
    """Draw a figure against an attribute."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    kind, rect = _Type(page), stand(page, round(_HEIGHT[page.shape] * page.height))
    left = rect.left + page.px(RULE + 14)
    title, top = heading(content.title, content.caption, rect, page, left=left)
    axes, ruled, grid = _axes(content, Rect(left, top, rect.right, rect.bottom), rect, kind)
    line = frontier_line(content, axes)
    hair = page.px(style.strokes.rule)
    points = [
        (round(axes.time.at(spot.attribute)), round(axes.value.at(spot.figure)))
        for spot in content.spots
    ]
    labels = [_label(content, index, kind) for index in range(len(points))]
    apart = page.px(_APART)
    places = beside(
        points,
        [(label.patch.width + 2 * apart, label.patch.height + 2 * apart) for label in labels],
        radius=page.px(_MARK),
        inside=Rect(axes.plot.left, top, rect.right - page.px(20), axes.plot.bottom),
        crossed=[(_around(a, b, hair + 2 * apart), _ON_LINE) for a, b in pairwise(line)]
        + [(x.covers, _ON_GRID) for x in grid],
    )
    rows: list[Sequence[Part]] = []
    marks = []
    for index, (point, label, place) in enumerate(zip(points, labels, places, strict=True)):
        colour = page.colours.entry(content.spots[index].colour)
        set_label = Layer(label.patch, place.left + apart, place.top + apart)
        pin = _pin(point, set_label.covers, colour, page)
        marks.append(_mark(point, colour, page))
        rows.append((Part((marks[-1],), 0.0, 0.3), Part((*pin, set_label), 0.2)))
    # Each step is a layer by itself, so that no label lies under more than it has to.
    steps = [block(_around(a, b, hair), page.colours.ink) for a, b in pairwise(line)]
    # The comparison comes last, from the best attribute on, and under the marks.
    towards: Literal["right", "left"] = "right" if content.less else "left"
    rows.append((Part((*steps, *marks), towards=towards),))
    return RowsScene(
        stage,
        style,
        rect=rect,
        plate=(panel(rect, page), *title),
        ruled=ruled,
        rows=rows,
        step=2.0,
    )


def _axes(
    content: ValueContent, inside: Rect, rect: Rect, kind: _Type
) -> tuple[Axes, tuple[Layer, ...], Sequence[Layer]]:
    """Rule the left edge by the figure and the foot by the attribute; return the grid apart."""
    page, px, colours = kind.page, kind.page.px, kind.page.colours
    figures = [spot.figure for spot in content.spots]
    attributes = [spot.attribute for spot in content.spots]
    bottom, pad = rect.bottom - px(FOOT), px(page.style.space.pad)

    most = max(2, min(6, (bottom - inside.top) // px(100)))
    low, high = _roomy(figures, most)
    upward = nice_ticks(low, high, most)
    texts = [page.number(fixed(tick, upward.places)) for tick in upward.numbered]
    numbers = inside.left + max(kind.strong.width(text) for text in texts)

    start = numbers + px(22)
    end = rect.right - pad - kind.engraved.width(content.across) - px(28)
    most = max(2, min(8, (end - start) // px(130)))
    least, greatest = _roomy(attributes, most)
    across = ticks_for(least, greatest, end - start, page)

    area = Rect(start, inside.top, end, bottom - px(30))
    axes = Axes(
        Scale(least, greatest, area.left, area.right),
        Scale(low, high, area.bottom, area.top),
        area,
        content.unit,
    )
    edge = Rect(rect.left, rect.top, rect.left + px(RULE), rect.bottom)
    body = Rect(rect.left, bottom, rect.right, rect.bottom)
    hair, half = px(page.style.strokes.hair), kind.strong.cap_height // 2
    grid, written = [], []
    for tick, text in zip(upward.numbered, texts, strict=True):
        y = round(axes.value.at(float(tick)))
        line = Rect(area.left, y - hair // 2, rect.right - pad, y - hair // 2 + hair)
        grid.append(block(line, colours.grid))
        written.append(kind.strong.layer(text, numbers, y + half, colours.ink, "right"))
    word = kind.engraved.layer(
        content.across, rect.right - pad, body.bottom - px(8), colours.engraved, "right"
    )
    ruled = (
        strip(edge, page),
        engraved(edge, "right", axes.value, upward, page),
        *numbered(body, axes.time, across, page),
        word,
        *grid,
        *written,
    )
    return axes, ruled, grid


def _roomy(values: Sequence[float], most: int) -> tuple[float, float]:
    """Return a range of whole steps in which no mark stands on an edge, other than at zero."""
    low, high = nice_range(min(values), max(values), most)
    step, room = float(nice_ticks(low, high, most).step), 0.04 * (high - low)
    return (
        low - step if low != 0 and min(values) - low < room else low,
        high + step if high != 0 and high - max(values) < room else high,
    )


def frontier_line(content: ValueContent, axes: Axes) -> list[tuple[float, float]]:
    """Return the steps of the frontier in canvas pixels, from the best attribute on.

    At every attribute it is the best figure to be had for no more than that. It rises at the first
    spot, and beyond the last one nothing better is to be had.
    """
    spots = [content.spots[index] for index in content.frontier]
    worst = axes.value.high if content.lower else axes.value.low
    beyond = axes.time.high if content.less else axes.time.low
    line = []
    height = axes.value.at(worst)
    for spot in spots:
        x = axes.time.at(spot.attribute)
        line.append((x, height))
        height = axes.value.at(spot.figure)
        line.append((x, height))
    return [*line, (axes.time.at(beyond), height)]


def _around(a: tuple[float, float], b: tuple[float, float], width: int) -> Rect:
    """Return an upright or level line as a thin rectangle; at their ends lines join squarely."""
    (x0, x1), (y0, y1) = sorted((round(a[0]), round(b[0]))), sorted((round(a[1]), round(b[1])))
    before, after = width // 2, width - width // 2
    return Rect(x0 - before, y0 - before, x1 + after, y1 + after)


def _label(content: ValueContent, index: int, kind: _Type) -> Layer:
    """Write a spot's label at the canvas' corner: on the frontier a flag, else plain text."""
    page, colours, spot = kind.page, kind.page.colours, content.spots[index]
    ahead, side = index in content.frontier, kind.page.px(_SIDE)
    name = fitted(kind.strong, spot.name, page.px(_NAME))
    numbers = zip(spot.says[::-1], (content.unit, content.across_unit), strict=True)
    told = [f"{page.number(text)}\N{NO-BREAK SPACE}{unit}".rstrip() for text, unit in numbers]
    few = len(content.spots) <= _FEW
    says = " · ".join(told) if few else page.number(spot.says[1])
    ink, quiet = (colours.on_entry,) * 2 if ahead else (colours.ink, colours.quiet)
    baseline = side + kind.strong.cap_height
    text = [kind.strong.layer(name, side, baseline, ink)]
    x = side if few else side + kind.strong.width(name) + side
    baseline += kind.small.line if few else 0
    text.append(kind.small.layer(says, x, baseline, quiet))
    width = side + max(layer.covers.right for layer in text)
    if not ahead:
        return merged(text)
    cut = round(page.style.corner.flag * page.scale)
    height = baseline + side
    return merged((flag(Rect(0, 0, width, height), cut, colours.entry(spot.colour)), *text))


def _mark(point: tuple[int, int], colour: Colour, page: Page) -> Layer:
    """Draw a spot: a square on its corner."""
    (x, y), half = point, page.px(_MARK)
    area = Rect(x - half - 1, y - half - 1, x + half + 2, y + half + 2)
    corners = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
    return Sheet(area).fill(corners, colour).layer()


def _pin(point: tuple[int, int], label: Rect, colour: Colour, page: Page) -> tuple[Layer, ...]:
    """Lead from a spot to its label where they do not stand side by side."""
    x, y = point
    to = (min(max(x, label.left), label.right), min(max(y, label.top), label.bottom))
    if math.hypot(to[0] - x, to[1] - y) < page.px(2.4 * _MARK):
        return ()
    hair = page.px(page.style.strokes.hair)
    area = Rect(min(x, to[0]) - hair, min(y, to[1]) - hair, max(x, to[0]) + hair,
                max(y, to[1]) + hair)  # fmt: skip
    return (Sheet(area).stroke([point, to], colour, hair).layer(),)
