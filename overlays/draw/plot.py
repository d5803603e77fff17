"""A plot's plate: the ruled edge with its numbers, lines behind the data, the time axis."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.axis import (
    Axes,
    Scale,
    Ticks,
    log_range,
    log_ticks,
    nice_range,
    nice_ticks,
)
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import RULE, engraved, strip
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import Face

__all__ = ["Plot", "plate", "plot", "right_rule", "right_width", "ruling"]

# Wanted distance of numbered ticks, upwards and across, in a style's lengths.
_UPWARDS, _ACROSS = 90, 150
_MOST_UPWARDS, _MOST_ACROSS = 6, 8


@dataclass(frozen=True, slots=True, eq=False)
class Plot:
    """The layers of a plate, by the way they come in.

    Parameters
    ----------
    axes : Axes
        From pixels to values.
    upwards : tuple of Layer
        The rule's ticks and their numbers, which grow upwards from the baseline.
    across : tuple of Layer
        Lines and time, which grow from left to right.
    elapsed : Layer
        The time axis as it has passed; to be shown up to the curves' heads.
    numbers_right : int
        The column at which the rule's numbers end.
    """

    axes: Axes
    upwards: tuple[Layer, ...]
    across: tuple[Layer, ...]
    elapsed: Layer
    numbers_right: int


def plot(
    inside: Rect,
    panel: Rect,
    page: Page,
    *,
    values: tuple[float, float],
    length_s: float,
    right_room: int,
    unit: str,
    log: bool = False,
    later: tuple[float, float] | None = None,
) -> Plot:
    """Lay out a plot.

    Parameters
    ----------
    inside : Rect
        Where it may draw: from under the title down to the panel's lower padding.
    panel : Rect
        The panel, whose left edge is ruled.
    values : (float, float)
        Smallest and largest value to show.
    length_s : float
        Seconds across.
    right_room : int
        Columns kept free to the right of the plot.
    unit : str
        Of the values, as set.
    log : bool
        Whether values are spaced by their logarithms.
    later : (float, float), optional
        Values the axis will come to show; their numbers will find room, too.
    """
    small = page.face("text", page.style.type.small)
    strong = page.face("strong", page.style.type.small)
    height = inside.bottom - inside.top
    (low, high), ticks = ruling(values, height, page, log=log)
    texts = [page.number(ticks.text(value)) for value in ticks.numbered]
    if later is not None:
        _, others = ruling(later, height, page, log=log)
        texts += [page.number(others.text(value)) for value in others.numbered]
    edge = _edge(panel, page)
    numbers_right = edge.right + page.px(12) + max(strong.width(text) for text in texts)
    below = page.px(14) + small.cap_height
    area = Rect(
        numbers_right + page.px(18), inside.top, inside.right - right_room, inside.bottom - below
    )
    scale = Scale(low, high, area.bottom, area.top, log)
    axes = Axes(Scale(0.0, length_s, area.left, area.right), scale, area, unit)
    return plate(axes, panel, page, numbers_right=numbers_right)


def _edge(panel: Rect, page: Page) -> Rect:
    return Rect(panel.left, panel.top, panel.left + page.px(RULE), panel.bottom)


def plate(axes: Axes, panel: Rect, page: Page, *, numbers_right: int) -> Plot:
    """Draw the plate of a plot whose axes are given.

    Parameters
    ----------
    numbers_right : int
        The column at which the rule's numbers end.
    """
    small = page.face("text", page.style.type.small)
    strong = page.face("strong", page.style.type.small)
    area, scale = axes.plot, axes.value
    most = _most_upwards(area.bottom - area.top, page)
    ticks = (
        log_ticks(scale.low, scale.high) if scale.log else nice_ticks(scale.low, scale.high, most)
    )
    half = strong.cap_height // 2
    numbers = tuple(
        strong.layer(
            page.number(ticks.text(tick)), numbers_right, round(scale.at(float(tick))) + half,
            page.colours.ink, "right",
        )
        for tick in ticks.numbered
    )  # fmt: skip
    thick = page.px(page.style.strokes.rule)
    base = area.bottom - thick // 2
    return Plot(
        axes,
        (engraved(_edge(panel, page), "right", scale, ticks, page), *numbers),
        (_grid(axes, ticks, page), *_time(axes, small, page)),
        block(Rect(area.left, base, area.right, base + thick), page.colours.ink),
        numbers_right,
    )


def _most_upwards(height: int, page: Page) -> int:
    return max(2, min(_MOST_UPWARDS, height // page.px(_UPWARDS)))


def ruling(
    values: tuple[float, float], height: int, page: Page, *, log: bool
) -> tuple[tuple[float, float], Ticks]:
    """Return the range of an axis around values, and its numbered ticks."""
    if log:
        span = log_range(*values)
        return span, log_ticks(*span)
    most = _most_upwards(height, page)
    span = nice_range(*values, most)
    return span, nice_ticks(*span, most)


def right_rule(
    axes: Axes, values: tuple[float, float], panel: Rect, page: Page, unit: str
) -> tuple[Axes, tuple[Layer, ...], tuple[Layer, ...]]:
    """Rule the right edge of a panel for other values than the left one.

    Parameters
    ----------
    axes : Axes
        Of the plot.
    values : (float, float)
        Smallest and largest value to show.
    panel : Rect
        The panel, whose right edge is ruled below its cut corner.
    unit : str
        Of the values, as set.

    Returns
    -------
    axes : Axes
        From pixels to these values.
    body : tuple of Layer
        The bare strip.
    upwards : tuple of Layer
        Its ticks and their numbers.
    """
    span, ticks = ruling(values, axes.plot.bottom - axes.plot.top, page, log=False)
    strong = page.face("strong", page.style.type.small)
    cut = round(page.style.corner.panel * page.scale)
    edge = Rect(panel.right - page.px(RULE), panel.top + cut, panel.right, panel.bottom)
    scale = Scale(*span, axes.plot.bottom, axes.plot.top)
    right, half = edge.left - page.px(12), strong.cap_height // 2
    numbers = tuple(
        strong.layer(
            page.number(ticks.text(tick)), right, round(scale.at(float(tick))) + half,
            page.colours.ink, "right",
        )
        for tick in ticks.numbered
    )  # fmt: skip
    own = Axes(axes.time, scale, axes.plot, unit)
    return own, (strip(edge, page),), (engraved(edge, "left", scale, ticks, page), *numbers)


def right_width(values: tuple[float, float], height: int, page: Page) -> int:
    """Return how wide the strip of `right_rule` and its numbers are."""
    _, ticks = ruling(values, height, page, log=False)
    strong = page.face("strong", page.style.type.small)
    widest = max(strong.width(page.number(ticks.text(tick))) for tick in ticks.numbered)
    return page.px(RULE) + page.px(12) + widest + page.px(18)


def _grid(axes: Axes, ticks: Ticks, page: Page) -> Layer:
    """Draw a line for every numbered tick; the lowest is the time axis and plainer to see."""
    hair, area = page.px(page.style.strokes.hair), axes.plot
    sheet = Sheet(Rect(area.left, area.top - hair, area.right, area.bottom + hair))
    for tick in ticks.numbered:
        y = round(axes.value.at(float(tick)) - hair / 2)
        colour = page.colours.line if y + hair >= area.bottom else page.colours.grid
        sheet.rect(Rect(area.left, y, area.right, y + hair), colour)
    return sheet.layer()


def _time(axes: Axes, small: Face, page: Page) -> list[Layer]:
    area, colours = axes.plot, page.colours
    most = max(2, min(_MOST_ACROSS, (area.right - area.left) // page.px(_ACROSS)))
    ticks = nice_ticks(axes.time.low, axes.time.high, most)
    hair, baseline = page.px(page.style.strokes.hair), area.bottom + page.px(14) + small.cap_height
    layers: list[Layer] = []
    for tick in ticks.numbered:
        x = round(axes.time.at(float(tick)) - hair / 2)
        layers.append(block(Rect(x, area.bottom, x + hair, area.bottom + page.px(9)), colours.line))
        text = page.number(ticks.text(tick))
        layers.append(small.layer(text, x + hair // 2, baseline, colours.quiet, "centre"))
        if tick == ticks.numbered[-1]:
            # The unit hangs on, so that the number stays centred under its tick.
            after = x + hair // 2 + small.width(text) // 2
            layers.append(small.layer("\N{NO-BREAK SPACE}s", after, baseline, colours.quiet))
    return layers
