"""Gaps called out: dimension lines between curves, and their figures where no curve runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.axis import Axes
from overlays.draw.dimension import Dimension
from overlays.draw.motion import Move
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.room import Room
from overlays.draw.sheet import Sheet
from overlays.draw.text import Face, wrapped
from overlays.draw.value import Value
from overlays.kinds._curve_content import CurvesContent, Gap
from overlays.numbers import fixed

__all__ = ["CallOut", "call_outs", "leader", "risen"]

# Dimension lines nearer than this would be read as one, and a label no wider than this is read
# at a glance; in a style's lengths.
_APART, _WIDEST = 44, 340
# A label's width at most, as a share of the plot's.
_WIDEST_SHARE = 0.38


@dataclass(frozen=True, slots=True, eq=False)
class CallOut:
    """One gap, drawn.

    Parameters
    ----------
    line : Layer
        The dimension line.
    around : tuple of Layer
        What comes up once the line has begun to grow: the figure and its words, lines that lead.
    """

    line: Layer
    around: tuple[Layer, ...]

    @property
    def covers(self) -> tuple[Rect, ...]:
        """Where it may lie over the curves."""
        return tuple(layer.covers for layer in (self.line, *self.around))

    def layers(self, frame: int, move: Move) -> list[Layer]:
        """Let the line grow from its middle, and its figure come up; nothing before the move."""
        if frame < move.first:
            return []
        share, covers = move.eased(frame), self.line.covers
        middle, half = (covers.top + covers.bottom) // 2, (covers.bottom - covers.top) / 2
        grown = math.ceil(half * share) + 1
        window = Rect(covers.left, middle - grown, covers.right, middle + grown)
        return [through(self.line, window), *risen(self.around, share)]


def risen(layers: Sequence[Layer], share: float) -> list[Layer]:
    """Return layers as far come up as `share`, 0 to 1."""
    opacity = round(255 * share)
    if opacity == 255:
        return list(layers)
    return [Layer(x.patch, x.left, x.top, x.clip, opacity) for x in layers]


def call_outs(
    content: CurvesContent, axes: Axes, room: Room, page: Page, width: float
) -> tuple[CallOut, ...]:
    """Draw every gap; lines at about one time stand beside each other, labels where there is room.

    Parameters
    ----------
    room : Room
        What the curves and other labels take; labels placed are taken from it.
    width : float
        Of the curves, in pixels.
    """
    lines: list[tuple[Gap, Rect]] = []
    for gap in content.gaps:
        top, bottom = sorted(axes.value.at(value) for value in gap.values)
        x = _column(gap, axes, page, [rect for _, rect in lines], (top, bottom))
        rect = Rect(x, round(top), x + page.px(page.style.strokes.hair), round(bottom))
        lines.append((gap, rect))
        room.take(Rect(rect.left - page.px(8), rect.top, rect.right + page.px(8), rect.bottom))
    stops = content.stops
    return tuple(
        _drawn(
            gap,
            rect,
            content=content,
            axes=axes,
            room=room,
            page=page,
            width=width,
            paused=index in stops,
        )
        for index, (gap, rect) in enumerate(lines)
    )


def _column(
    gap: Gap,
    axes: Axes,
    page: Page,
    others: Sequence[Rect],
    span: tuple[float, float],
) -> int:
    """Return where a dimension line stands: at its time, or the nearest place beside others."""
    wanted = min(round(axes.time.at(gap.at_s)), axes.plot.right - page.px(8))
    apart = page.px(_APART)
    tops = [
        rect.left
        for rect in others
        if rect.top <= span[1] + apart and rect.bottom >= span[0] - apart
    ]
    for step in range(2 * len(tops) + 1):
        away = (step + 1) // 2 * apart * (1 if step % 2 else -1)
        x = wanted + away
        free = all(abs(x - other) >= apart for other in tops)
        if free and axes.plot.left < x <= axes.plot.right - page.px(8):
            return x
    return wanted


def _drawn(
    gap: Gap,
    rect: Rect,
    *,
    content: CurvesContent,
    axes: Axes,
    room: Room,
    page: Page,
    width: float,
    paused: bool,
) -> CallOut:
    ink, quiet = page.colours.ink, page.colours.quiet
    hair = page.px(page.style.strokes.hair)
    top, bottom = sorted(axes.value.at(value) for value in gap.values)
    line = Dimension(rect.left, top + width / 2, bottom - width / 2, ink, hair, page.px(18))
    small = page.face("text", page.style.type.small)
    strong = page.face("strong", page.style.type.small)
    number = Value(page.face("loud", page.style.type.title), strong, ink, quiet)
    text = page.number(fixed(gap.size(content.places), content.places))
    words = _words(content, gap, small, axes.plot, page)
    size = (
        max(number.width(text, content.unit), *(small.width(line) for line in words)),
        number.height + page.px(10) + small.cap_height + (len(words) - 1) * small.line,
    )
    # While the drawing pauses there, heads and flags stand on the right.
    until = rect.left if paused else None
    place = room.place(size, rect, page.px(18), margin=page.px(8), until=until)
    baseline = place.top + number.height
    layers = list(number.layers(text, content.unit, place.left, baseline))
    baseline += page.px(10) + small.cap_height
    for index, said in enumerate(words):
        layers.append(small.layer(said, place.left, baseline + index * small.line, quiet))
    wanted = min(round(axes.time.at(gap.at_s)), axes.plot.right - page.px(8))
    if rect.left != wanted:
        layers += [_witness(y, wanted, rect.left, page) for y in (top, bottom)]
    lead = leader(place, rect, page, room)
    return CallOut(line.layer(), (*layers, lead) if lead is not None else tuple(layers))


def _words(content: CurvesContent, gap: Gap, small: Face, plot: Rect, page: Page) -> list[str]:
    """Return the lines under a gap's figure: whose where there are several, when, the verdict."""
    most = min(page.px(_WIDEST), round(_WIDEST_SHARE * (plot.right - plot.left)))
    when = f"at {page.number(f'{gap.at_s:g}')} s"
    if len(content.gaps) > 1:
        names = [content.lines[index].name for index in (gap.first, gap.second)]
        lines = wrapped(small, [f"{' to '.join(names)},", when], " ", most)
    else:
        lines = [when]
    return lines + wrapped(small, gap.verdict.split(" "), " ", most)


def _witness(y: float, start: int, end: int, page: Page) -> Layer:
    """Draw the line that carries a height to a dimension line set aside."""
    hair, left, right = page.px(page.style.strokes.hair), min(start, end), max(start, end)
    sheet = Sheet(Rect(left - 2, int(y) - hair - 2, right + 2, int(y) + hair + 3))
    return sheet.stroke([(left, y), (right, y)], page.colours.quiet, hair).layer()


def leader(label: Rect, thing: Rect, page: Page, room: Room) -> Layer | None:
    """Draw a line from a label to what it belongs to.

    None where it stands right beside it, and where the line would run over another label: what is
    crossed out is harder to read than what is found by its words. Labels that are placed later
    keep clear of the line.
    """
    hair = page.px(page.style.strokes.hair)
    x = (thing.left + thing.right) / 2
    y = min(max((label.top + label.bottom) / 2, thing.top), thing.bottom)
    # From the nearest point of the label's edge, with a little air.
    air = page.px(6)
    start_x = min(max(x, label.left - air), label.right + air)
    start_y = min(max(y, label.top - air), label.bottom + air)
    if math.hypot(start_x - x, start_y - y) < page.px(34):
        return None
    wide = page.px(26)
    own = [
        Rect(rect.left - wide, rect.top - wide, rect.right + wide, rect.bottom + wide)
        for rect in (label, thing)
    ]
    if room.crosses_label((start_x, start_y), (x, y), but=own):
        return None
    room.take_line((start_x, start_y), (x, y))
    area = Rect(
        int(min(x, start_x)) - hair - 1, int(min(y, start_y)) - hair - 1,
        int(max(x, start_x)) + hair + 2, int(max(y, start_y)) + hair + 2,
    )  # fmt: skip
    return Sheet(area).stroke([(start_x, start_y), (x, y)], page.colours.quiet, hair).layer()
