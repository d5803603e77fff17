"""A crosshair: a line that stands at a time of the run or goes along it, and what it reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve, value_at
from overlays.draw.motion import Move, eased
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.room import Room
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.kinds._curve_content import Reading
from overlays.numbers import fixed, rounded
from overlays.style.colour import Colour

__all__ = ["Crosshair", "Row"]

# Decimals of the time it stands at, the width of an entry's colour, and of the longest name, the
# latter two in a style's lengths.
_PLACES, _CHIP, _NAME = 2, 6, 230


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """What is read of one curve.

    Parameters
    ----------
    curve : Curve
        The curve.
    name, unit : str
        As set.
    places : int
        Decimals of a value.
    axes : Axes
        From its values to pixels.
    """

    curve: Curve
    name: str
    unit: str
    places: int
    axes: Axes

    def at(self, time_s: float) -> float | None:
        """Return its value at a time; None inside a gap and past its ends."""
        return value_at(self.curve.time_s, self.curve.values, time_s)


class Crosshair:
    """Draws the line, a tick on every curve it crosses, and a list of what it reads.

    The list stands still, clear of the curves, while the line goes along; only its digits change.

    Parameters
    ----------
    reading : Reading
        From when to when.
    rows : sequence of Row
        In the order of the list.
    axes : Axes
        Of the plot.
    room : Room
        What is taken already, the place at which the line comes to stand among it.
    move : Move
        When it comes and goes along.
    step : int
        Frames of that in which it comes.
    """

    def __init__(
        self,
        reading: Reading,
        rows: Sequence[Row],
        axes: Axes,
        page: Page,
        *,
        room: Room,
        move: Move,
        step: int,
    ) -> None:
        self._reading, self._rows, self._axes, self._page = reading, rows, axes, page
        standing = reading.start_s == reading.end_s
        comes = move.frames if standing else max(1, min(step, move.frames // 3))
        self._comes = Move(move.first, comes)
        self._goes = Move(self._comes.end, max(0, move.end - self._comes.end))
        hair, plot = page.px(page.style.strokes.hair), axes.plot
        self._line = block(Rect(0, plot.top, hair, plot.bottom), page.colours.ink)
        half, reach = page.px(3), page.px(11)
        self._ticks = [block(Rect(-reach, -half, reach, half), row.curve.colour) for row in rows]
        # Drawn when first asked for and kept: the same value comes back often.
        self._set = lru_cache(maxsize=512)(Numerals.layer)
        self._lay_list(room)

    def _lay_list(self, room: Room) -> None:
        page, rows = self._page, self._rows
        small, strong = (page.face(x, page.style.type.small) for x in ("text", "strong"))
        self._value = Numerals(page.face("strong", page.style.type.value), page.colours.ink)
        self._time = Numerals(strong, page.colours.ink)
        air, chip = page.px(12), page.px(_CHIP)
        names = [fitted(small, row.name, page.px(_NAME)) for row in rows]
        digits = max(self._value.width(self._widest(row)) for row in rows)
        named = max(small.width(name) for name in names)
        unit = max(small.width(row.unit) for row in rows)
        step = self._value.face.cap_height + page.px(16)
        wide = chip + air + named + page.px(20) + digits + page.px(8) + unit
        tall = small.cap_height + len(rows) * step
        middle = (self._reading.start_s + self._reading.end_s) / 2
        x, plot = round(self._axes.time.at(middle)), self._axes.plot
        spot = Rect(x, (plot.top + plot.bottom) // 2, x + 1, (plot.top + plot.bottom) // 2 + 1)
        air_around = page.px(12)
        place = room.place((wide, tall), spot, page.px(18), margin=air_around)
        top = place.top + small.cap_height
        ground = Rect(place.left - air_around, place.top - air_around, place.right + air_around,
                      place.bottom + air_around).meet(plot)  # fmt: skip
        self._still = [
            block(ground, Colour(*page.colours.panel.rgb)),
            small.layer("at", place.left, top, page.colours.quiet),
        ]
        end = self._time.width(page.number(fixed(self._reading_most(), _PLACES)))
        self._time_right = place.left + small.width("at ") + page.px(2) + end
        self._still.append(small.layer("s", self._time_right + page.px(8), top, page.colours.quiet))
        self._value_right = place.left + chip + air + named + page.px(20) + digits
        self._baselines = [top + (index + 1) * step for index in range(len(rows))]
        for row, name, baseline in zip(rows, names, self._baselines, strict=True):
            edge = Rect(place.left, baseline - self._value.face.cap_height,
                        place.left + chip, baseline)  # fmt: skip
            self._still += [
                block(edge, row.curve.colour),
                small.layer(name, edge.right + air, baseline, page.colours.quiet),
            ]
            if row.unit:
                at = self._value_right + page.px(8)
                self._still.append(small.layer(row.unit, at, baseline, page.colours.quiet))
        self._heading = top

    def _reading_most(self) -> float:
        return max(self._reading.start_s, self._reading.end_s)

    def _widest(self, row: Row) -> str:
        finite = [float(value) for value in row.curve.values if math.isfinite(value)]
        texts = (fixed(value, row.places) for value in (min(finite), max(finite)))
        return self._page.number(max(texts, key=len))

    def at_s(self, frame: int) -> float:
        """Return the time it stands at, which is the one it shows."""
        start, end = self._reading.start_s, self._reading.end_s
        share = self._goes.progress(frame) if self._goes.frames else 1.0
        return float(rounded(start + share * (end - start), _PLACES))

    def covered(self, frame: int) -> tuple[Rect, ...]:
        """Return where it may lie over the curves."""
        return tuple(layer.covers for layer in self.layers(frame))

    def layers(self, frame: int) -> list[Layer]:
        """Return its layers at a frame; none before it comes."""
        if frame < self._comes.first:
            return []
        at_s, plot = self.at_s(frame), self._axes.plot
        share = eased(self._comes.progress(frame))
        x = round(self._axes.time.at(at_s))
        left = min(max(x - self._line.patch.width // 2, plot.left), plot.right - 1)
        grown = plot.bottom - max(1, round(share * (plot.bottom - plot.top)))
        line = Layer(self._line.patch, left, plot.top)
        layers = [through(line, Rect(left, grown, plot.right, plot.bottom))]
        values = [row.at(at_s) for row in self._rows]
        for row, value, tick in zip(self._rows, values, self._ticks, strict=True):
            if value is not None:
                y = row.axes.value.at(value)
                if math.isfinite(y) and plot.top <= y <= plot.bottom:
                    layers.append(Layer(tick.patch, x + tick.left, round(y) + tick.top))
        return layers + _faint(self._read(at_s, values), round(255 * share))

    def _read(self, at_s: float, values: Sequence[float | None]) -> list[Layer]:
        number: Callable[[str], str] = self._page.number
        time = number(fixed(at_s, _PLACES))
        layers = [*self._still, self._set(self._time, time, self._time_right, self._heading)]
        for row, value, baseline in zip(self._rows, values, self._baselines, strict=True):
            text = "–" if value is None else number(fixed(value, row.places))
            layers.append(self._set(self._value, text, self._value_right, baseline))
        return layers


def _faint(layers: Sequence[Layer], opacity: int) -> list[Layer]:
    if opacity == 255:
        return list(layers)
    return [Layer(x.patch, x.left, x.top, x.clip, opacity) for x in layers]
