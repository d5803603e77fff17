"""The frames of a readout: digits that stand still, and a pointer that goes along a steel rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from overlays.draw.axis import Scale, nice_range
from overlays.draw.heading import heading
from overlays.draw.motion import Move, wiped
from overlays.draw.numerals import Numerals, widest_number
from overlays.draw.page import Page
from overlays.draw.panel import flag, panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import fitted
from overlays.draw.value import Value
from overlays.kinds._card import FOOT, merged, moved, numbered, room, stand, ticks_for
from overlays.kinds._readout_content import Readings, ReadoutContent
from overlays.model.clip import Stage
from overlays.numbers import fixed
from overlays.style.house import Style

__all__ = ["ReadoutScene"]

# The entry's edge; the lane in which the pointer goes; its pennant; the bar on the held mark.
_EDGE, _LANE, _PENNANT, _BAR = 12, 66, (30, 22), 26
# How wide a card is at least on a wide canvas; the space of a cell; between its rows.
_LEAST, _CELL, _ROW = 760, 34, 26
# How far the rule goes on beyond the values at both ends, as a share of them.
_BEYOND = 0.05
_GAP = "–"


@dataclass(frozen=True, slots=True)
class _Cell:
    """Where a number that changes stands.

    Parameters
    ----------
    numerals : Numerals
        How it is set.
    right, baseline : int
        Where it ends.
    """

    numerals: Numerals
    right: int
    baseline: int


class ReadoutScene:
    """The frames of a readout."""

    def __init__(self, content: ReadoutContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content, self._measured = content, content.measured
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._colour = page.colours.entry(content.line.colour)
        self._timing = content.timing(stage, style)
        self._readings = Readings(content, self._timing, float(stage.rate))
        self._lay_faces()
        self._lay_card()
        self._lay_marks()
        first = min(self._timing.data.end, stage.frames - 1)
        step = max(1, round(style.motion.step * float(stage.rate)))
        self._last = Move(first, min(step, stage.frames - first))
        # Drawn when first asked for and kept: the same number comes back on many frames.
        self._number = lru_cache(maxsize=512)(self._draw_number)
        self._state = lru_cache(maxsize=512)(self._state_at)

    def _lay_faces(self) -> None:
        page, sizes, colours = self._page, self._page.style.type, self._page.colours
        self._small = page.face("text", sizes.small)
        unit = page.face("strong", sizes.small)
        values = self._content.curve.spread
        # A step's value is held, so that no number is wider than those of the samples.
        self._widest = page.number(widest_number(values, self._content.curve.places))
        self._widest_held = page.number(widest_number(values, self._content.held_places))
        length_s = (0.0, self._content.curve.length_s)
        self._widest_s = page.number(widest_number(length_s, self._readings.places))
        self._other = Value(page.face("loud", sizes.title), unit, colours.ink, colours.quiet)
        for size in (sizes.total, sizes.figure, sizes.title, sizes.small):
            self._large = Value(page.face("loud", size), unit, colours.ink, colours.quiet)
            if self._cell_widths()[0] <= self._inner:
                break

    @property
    def _inner(self) -> int:
        """How wide the content may be at most."""
        page, space = self._page, room(self._page)
        return space.right - space.left - page.px(_EDGE) - 2 * page.px(page.style.space.pad)

    # Layout

    def _lay_card(self) -> None:
        """Stand the card at the foot, as wide as its cells need on a wide canvas."""
        page, content, style = self._page, self._content, self._page.style
        space, pad, edge = room(page), page.px(style.space.pad), page.px(_EDGE)
        rows = _flowing(self._cell_widths(), 2 * page.px(_CELL), self._inner)
        needed = max(sum(row) + 2 * page.px(_CELL) * (len(row) - 1) for row in rows)
        # The title keeps clear of the panel's cut corner.
        title = page.face("loud", style.type.title).width(content.curve.title) + pad
        needed, width = max(needed, title), space.right - space.left
        if page.shape == "wide":
            width = min(width, max(page.px(_LEAST), needed + edge + 2 * pad))
        above = Rect(space.left, 0, space.left + width, 0)
        left = space.left + edge + pad
        curve = content.curve
        _, top = heading(curve.title, curve.caption, above, page, left=left)
        heights = [self._large.height if i == 0 else self._cell_height for i in range(len(rows))]
        below = sum(heights) + page.px(_ROW) * len(rows) + page.px(_LANE + FOOT)
        stood = stand(page, top + below)
        self._rect = rect = Rect(stood.left, stood.top, stood.left + width, stood.bottom)
        said, y = heading(curve.title, curve.caption, rect, page, left=left)
        colour = block(Rect(rect.left, rect.top, rect.left + edge, rect.bottom), self._colour)
        self._plate = (panel(rect, page), colour, *said)
        self._fixed: list[Layer] = []
        self._figure: list[Layer] = []
        self._lay_rule(Rect(left, rect.bottom - page.px(FOOT + _LANE), rect.right - pad, 0))
        self._lay_cells(rows, left, y)

    @property
    def _cell_height(self) -> int:
        return self._small.cap_height + self._page.px(18) + self._other.height

    def _cell_widths(self) -> list[int]:
        """Return how wide the value, what is held and the figure are."""
        content, unit = self._content, self._content.curve.unit
        space, seconds = self._large.space, self._seconds_width
        unit_wide = max(self._large.small.width(unit), seconds)
        widths = [self._large.digits_width(self._widest) + space + unit_wide]
        if content.hold != "off":
            widths.append(
                max(
                    self._small.width(content.hold),
                    self._other.width(self._widest_held, unit) + 2 * space + seconds,
                )
            )
        if content.figure is not None:
            figure = content.figure
            number = self._other.width(self._page.number(figure.text), figure.unit)
            widths.append(max(number, min(self._small.width(content.figure_says), self._inner)))
        return widths

    @property
    def _seconds_width(self) -> int:
        """How wide "at 3.2 s" is."""
        small, space = self._small, self._small.width(" ")
        digits = Numerals(small, self._page.colours.quiet).width(self._widest_s)
        return small.width("at") + digits + small.width("s") + 2 * space

    def _lay_cells(self, rows: Sequence[Sequence[int]], left: int, top: int) -> None:
        """Set the value, then what is held and the figure beside or under it."""
        page, content = self._page, self._content
        cells = [(self._lay_value, self._fixed)]
        cells += [(self._lay_held, self._fixed)] if content.hold != "off" else []
        cells += [(self._lay_figure, self._figure)] if content.figure is not None else []
        coming, hair = iter(cells), page.px(page.style.strokes.hair)
        for index, row in enumerate(rows):
            height = self._large.height if index == 0 else self._cell_height
            x, baseline = left, top + height
            for place, (width, (lay, layers)) in enumerate(zip(row, coming, strict=False)):
                if place:
                    line = x - page.px(_CELL)
                    area = Rect(line, baseline - height, line + hair, baseline)
                    layers.append(block(area, page.colours.grid))
                lay(x, baseline, width)
                x += width + 2 * page.px(_CELL)
            top = baseline + page.px(_ROW)

    def _lay_value(self, x: int, baseline: int, width: int) -> None:
        del width
        large, unit = self._large, self._content.curve.unit
        right = x + large.digits_width(self._widest)
        self._value = _Cell(Numerals(large.large, large.ink), right, baseline)
        x = right + large.space
        raised = baseline - large.height + large.small.cap_height
        if unit:
            self._fixed.append(large.small.layer(unit, x, raised, large.quiet))
        self._value_s = self._lay_seconds(x, baseline)

    def _lay_held(self, x: int, baseline: int, width: int) -> None:
        del width
        other, unit, colours = self._other, self._content.curve.unit, self._page.colours
        top = baseline - self._cell_height + self._small.cap_height
        self._fixed.append(self._small.layer(self._content.hold, x, top, colours.quiet))
        right = x + other.digits_width(self._widest_held)
        self._held = _Cell(Numerals(other.large, other.ink), right, baseline)
        raised = baseline - other.height + other.small.cap_height
        if unit:
            self._fixed.append(other.small.layer(unit, right + other.space, raised, other.quiet))
        x += other.width(self._widest_held, unit) + 2 * self._large.space
        self._held_s = self._lay_seconds(x, baseline)

    def _lay_figure(self, x: int, baseline: int, width: int) -> None:
        figure, colours = self._content.figure, self._page.colours
        if figure is None:
            return
        top = baseline - self._cell_height + self._small.cap_height
        label = fitted(self._small, self._content.figure_says, width)
        self._figure.append(self._small.layer(label, x, top, colours.quiet))
        number = self._page.number(figure.text)
        self._figure += self._other.layers(number, figure.unit, x, baseline)

    def _lay_seconds(self, x: int, baseline: int) -> _Cell:
        """Set "at" and "s" around a time that changes; its digits are numbers, and no words."""
        small, quiet = self._small, self._page.colours.quiet
        digits, space = Numerals(small, quiet), small.width(" ")
        self._fixed.append(small.layer("at", x, baseline, quiet))
        right = x + small.width("at") + space + digits.width(self._widest_s)
        self._fixed.append(small.layer("s", right + space, baseline, quiet))
        return _Cell(digits, right, baseline)

    def _lay_rule(self, lane: Rect) -> None:
        """Rule the foot of the card true to the values; it goes on a little beyond them."""
        page, rect = self._page, self._rect
        length = lane.right - lane.left
        low, high = nice_range(*self._content.curve.spread, 8 if length > page.px(600) else 5)
        beyond = _BEYOND * (high - low)
        low, high = low - beyond, high + beyond
        self._scale = Scale(low, high, lane.left, lane.right)
        body = Rect(rect.left, rect.bottom - page.px(FOOT), rect.right, rect.bottom)
        self._lane = Rect(lane.left, lane.top, lane.right, body.top)
        ticks = ticks_for(low, high, length, page)
        edge = Rect(body.left, body.top, body.left + page.px(_EDGE), body.bottom)
        self._ruled = (*numbered(body, self._scale, ticks, page), block(edge, self._colour))

    def _lay_marks(self) -> None:
        """Draw the pointer and the held mark once, at column 0; each stands on the rule."""
        page, lane = self._page, self._lane
        wide, high = (page.px(length) for length in _PENNANT)
        line = page.px(page.style.strokes.rule)
        pin = Rect(-(line // 2), lane.top, line - line // 2, lane.bottom)
        cloth = Rect(pin.right, lane.top, pin.right + wide, lane.top + high)
        cut = page.px(page.style.corner.flag) // 2
        self._pointer = merged([block(pin, self._colour), flag(cloth, cut, self._colour)])
        hair = page.px(page.style.strokes.hair)
        top = lane.top + high + page.px(10)
        bar = Rect(-page.px(_BAR) // 2, top, page.px(_BAR) // 2 + hair, top + line)
        stem = Rect(-(hair // 2), top, hair - hair // 2, lane.bottom)
        ink = page.colours.ink
        self._mark = Sheet(bar.join(stem)).rect(bar, ink).rect(stem, ink).layer()

    # Frames

    def _draw_number(self, text: str, cell: _Cell) -> Layer:
        return cell.numerals.layer(text, cell.right, cell.baseline)

    def _set(self, value: float | None, places: int, cell: _Cell) -> Layer:
        text = _GAP if value is None else self._page.number(fixed(value, places))
        return self._number(text, cell)

    def column(self, value: float) -> int:
        """Return the pixel column at which a value stands on the rule."""
        return round(self._scale.at(value))

    @property
    def scale(self) -> Scale:
        """From values to pixels along the rule."""
        return self._scale

    def digits_s(self, frame: int) -> float | None:
        """Return the time of the run whose value the digits show at a frame."""
        return self._readings.digits_s(frame)

    def pointer_s(self, frame: int) -> float | None:
        """Return the time of the run that the pointer shows at a frame."""
        return self._readings.pointer_s(frame)

    def _state_at(self, digits_s: float) -> tuple[Layer, ...]:
        """Return the numbers of a reading."""
        content, measured = self._content, self._measured
        places, places_s = content.curve.places, self._readings.places
        found = [self._set(measured.at(digits_s), places, self._value)]
        found.append(self._set(digits_s, places_s, self._value_s))
        held = measured.held(digits_s)
        if held is not None:
            found.append(self._set(held[0], content.held_places, self._held))
            found.append(self._set(held[1], places_s, self._held_s))
        return tuple(found)

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, stages = self._rect, self._timing
        shown = rect.left + stages.panel.grown(frame, rect.right - rect.left)
        layers = [through(layer, Rect(0, 0, shown, self.height)) for layer in self._plate]
        if frame >= stages.axes.first:
            along = rect.left + stages.axes.grown(frame, rect.right - rect.left)
            layers += [through(layer, Rect(0, 0, along, self.height)) for layer in self._ruled]
        pointer_s, digits_s = self.pointer_s(frame), self.digits_s(frame)
        if pointer_s is None or digits_s is None:
            return layers
        layers += self._fixed
        layers += self._state(digits_s)
        held, value = self._measured.held(pointer_s), self._measured.at(pointer_s)
        if held is not None:
            layers.append(moved(self._mark, self.column(held[0]), 0))
        if value is not None:
            layers.append(moved(self._pointer, self.column(value), 0))
        if self._figure and frame >= self._last.first:
            layers += wiped(self._figure, self._last, frame)
        return layers


def _flowing(widths: Sequence[int], between: int, room: int) -> list[list[int]]:
    """Share cells out among rows no wider than `room`; the first one of a row always fits."""
    rows: list[list[int]] = []
    for width in widths:
        used = sum(rows[-1]) + between * len(rows[-1]) if rows else room
        if rows and used + width <= room:
            rows[-1].append(width)
        else:
            rows.append([width])
    return rows
