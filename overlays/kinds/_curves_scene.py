"""The frames of a curves overlay: axes first, then data, then the comparison."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from overlays.draw.axis import Axes
from overlays.draw.band import banded
from overlays.draw.curve import Curve, drawn
from overlays.draw.flags import Flags, flag_shape
from overlays.draw.heading import heading
from overlays.draw.motion import Move
from overlays.draw.numerals import widest_number
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.plot import plot, right_rule, right_width
from overlays.draw.room import Room
from overlays.draw.rule import RULE, strip
from overlays.kinds._curve_before import Before
from overlays.kinds._curve_closer import Closer
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._curve_crosshair import Crosshair, Row
from overlays.kinds._curve_gaps import call_outs, risen
from overlays.kinds._curve_heads import columns_at, follow
from overlays.kinds._curve_inset import Inset
from overlays.kinds._curve_marks import Marks
from overlays.kinds._curve_timing import timing
from overlays.model.clip import Stage
from overlays.numbers import fixed
from overlays.style.colour import Colour
from overlays.style.house import Style

__all__ = ["CurvesScene"]

# How much of an entry's colour its spread has.
_BAND_ALPHA = 56
# The width of a second channel's line, as a share of a curve's.
_SECOND_WIDTH = 0.6


class CurvesScene:
    """The frames of a curves overlay."""

    def __init__(self, content: CurvesContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content, self._stage = content, stage
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._timing = timing(content, stage, style=style)
        self._rect = _panel_rect(page)
        self._second: tuple[Curve, ...] = ()
        self._lay_plate()
        self._lines = tuple(
            Curve(line.key, line.time_s, line.values, style.colours.entry(line.colour),
                  page.scale * style.strokes.curve,
                  tuple(page.scale * part for part in style.strokes.dash(line.colour)))
            for line in content.lines
        )  # fmt: skip
        if content.second is not None:
            other = content.second.line
            width = page.scale * style.strokes.curve * _SECOND_WIDTH
            self._second = (Curve(other.key, other.time_s, other.values, style.colours.ink, width),)
        self._led = (*self._lines, *self._second)
        self._drawn = tuple(drawn(curve, self._own_axes(curve)) for curve in self._led)
        self._bands = tuple(
            None if line.band is None else banded(
                line.band.time_s, line.band.low, line.band.high,
                _pale(curve.colour), self.axes,
            )
            for line, curve in zip(content.lines, self._lines, strict=True)
        )  # fmt: skip
        self._values, heads = follow(
            [(curve, self._own_axes(curve)) for curve in self._led],
            self._timing,
            in_turn=content.in_turn,
        )
        self._flags = Flags(
            names=self._names,
            colours=[curve.colour for curve in self._led],
            heads=heads,
            text=self._text,
            shape=self._shape,
            low=self.axes.plot.top - page.px(10),
            high=self.axes.plot.bottom + page.px(10),
            window=self._settling(),
            page=page,
        )
        room = self._room()
        self._before = Before(content.before, self.axes, room, page)
        step = max(1, round(style.motion.step * float(stage.rate)))
        self._marks = Marks(content, self._lines, self.axes, page, room=room, timing=self._timing,
                            step=step, frames=stage.frames)  # fmt: skip
        self._gaps = call_outs(content, self.axes, room, page, self._lines[0].width)
        moves = dict(zip(content.steps, self._timing.steps, strict=True))
        self._crosshair: tuple[Crosshair, ...] = ()
        if content.reading is not None:
            self._crosshair = (
                Crosshair(content.reading, self._rows(), self.axes, page, room=room,
                          move=moves["reading", 0], step=step),
            )  # fmt: skip
        self._inset: tuple[Inset, ...] = ()
        if content.inset is not None:
            self._inset = (
                Inset(content.inset, self._lines, self.axes, page, room=room,
                      move=moves["inset", 0]),
            )  # fmt: skip
        self._closer: tuple[Closer, ...] = ()
        if content.closer is not None and content.closer_spread is not None:
            self._closer = (self._close_in(content.closer, content.closer_spread,
                                           moves["closer", 0]),)  # fmt: skip
        self.curves = (*self._before.curves, *self._led)

    def _close_in(
        self, stretch: tuple[float, float], values: tuple[float, float], move: Move
    ) -> Closer:
        lines = zip(self._content.lines, self._lines, strict=True)
        return Closer(
            self._plot,
            stretch,
            values,
            (*self._lines, *self._before.curves),
            self._rect,
            page=self._page,
            headed=len(self._lines),
            bands=[(line.band, _pale(curve.colour)) for line, curve in lines if line.band],
            names=self._names,
            text=self._set,
            shape=self._shape,
            move=move,
            window=self._settling(),
        )

    def _rows(self) -> tuple[Row, ...]:
        """Return what a crosshair reads, in the order of the entries."""
        content = self._content
        units = [(content.unit, content.places)] * len(self._lines)
        if content.second is not None:
            units.append((content.second.unit, content.second.places))
        return tuple(
            Row(curve, name, unit, places, self._own_axes(curve))
            for curve, name, (unit, places) in zip(self._led, self._names, units, strict=True)
        )

    def _settling(self) -> int:
        """Return how many frames a change among flags takes; the cue leaves room for the last."""
        swap = round(self._page.style.motion.swap * float(self._stage.rate))
        return max(1, min(swap, self.frames - self._timing.data.end))

    @property
    def axes(self) -> Axes:
        """From pixels to seconds and values."""
        return self._plot.axes

    def axes_of(self, frame: int, curve: Curve) -> Axes:
        """Return from pixels to seconds and a curve's values, as they are at a frame."""
        for closer in self._closer:
            return closer.axes_at(frame)
        return self._own_axes(curve)

    def _own_axes(self, curve: Curve) -> Axes:
        return self._right_axes if curve in self._second else self._plot.axes

    def _lay_plate(self) -> None:
        content, page, rect = self._content, self._page, self._rect
        edge = Rect(rect.left, rect.top, rect.left + page.px(RULE), rect.bottom)
        title, below = heading(
            content.title, content.caption, rect, page, left=edge.right + page.px(12)
        )
        spread, second = content.spread, content.second
        texts = [page.number(widest_number(spread, content.places))]
        self._names = [line.name for line in content.lines]
        right = rect.right - page.px(page.style.space.apart)
        if second is not None:
            others = (float(np.nanmin(second.line.values)), float(np.nanmax(second.line.values)))
            texts.append(page.number(widest_number(others, second.places)))
            self._names.append(second.line.label)
            right = rect.right - right_width(others, rect.bottom - below, page)
        widest = max(texts, key=len)
        self._shape = flag_shape(self._names, widest, (rect.bottom - rect.top) // 2, page)
        self._plot = plot(
            Rect(rect.left, below, right, rect.bottom - page.px(page.style.space.pad)),
            rect,
            page,
            values=spread,
            length_s=content.length_s,
            right_room=self._shape.pin + self._shape.width,
            unit=content.unit,
            log=content.log,
            later=content.closer_spread,
        )
        body: tuple[Layer, ...] = ()
        self._right_axes = self._plot.axes
        self._upwards = self._plot.upwards
        if second is not None:
            self._right_axes, body, ruled = right_rule(
                self._plot.axes, others, rect, page, second.unit
            )
            self._upwards = (*self._plot.upwards, *ruled)
        self._plate = (panel(rect, page), strip(edge, page), *body, *title)

    def _room(self) -> Room:
        """Return what curves, bands, a level and a crosshair leave free for labels."""
        room = Room(self.axes.plot, self._page.px(4))
        for curve in self._led:
            points = self._own_axes(curve).points(curve.time_s, curve.values)
            room.take_curve(points, curve.width + 2 * self._page.px(4))
        for band in (line.band for line in self._content.lines if line.band is not None):
            edges = (self.axes.points(band.time_s, rows) for rows in (band.high, band.low))
            room.take_band(*edges)
        plot, clear = self.axes.plot, self._page.px(14)
        if self._content.level is not None:
            y = round(self.axes.value.at(self._content.level))
            room.take(Rect(plot.left, y - 2, plot.right, y + 2))
        if self._content.reading is not None:
            # Where a crosshair comes to stand; what it passes on its way stands before it.
            x = round(self.axes.time.at(self._content.reading.end_s))
            room.take(Rect(x - clear, plot.top, x + clear, plot.bottom))
        return room

    def _turn(self, index: int) -> int:
        return index if self._content.in_turn else 0

    def _text(self, frame: int, curve: int) -> str:
        """Return a head's value as shown, by frame of the data; a dash inside a gap."""
        value, second = float(self._values[frame, curve]), self._content.second
        own = second is None or curve < len(self._lines)
        return self._set(value, self._content.places if own or second is None else second.places)

    def _set(self, value: float, places: int | None = None) -> str:
        decimals = self._content.places if places is None else places
        return self._page.number(fixed(value, decimals)) if math.isfinite(value) else "–"

    def drawn_to_s(self, frame: int, curve: Curve) -> float | None:
        """Return up to which time a curve is drawn; None before it begins."""
        if curve not in self._led:
            return self._content.length_s if frame >= self._timing.axes.end - 1 else None
        if frame < self._timing.data.first:
            return None
        return self._timing.elapsed_s(frame, self._turn(self._led.index(curve))) or None

    def covered(self, frame: int) -> Sequence[Rect]:
        """Return where labels, pins, flags and gaps may lie over the curves."""
        for closer in self._closer:
            if closer.share(frame) == 0:
                return closer.covered(frame)
        layers = [*self._before.labels, *self._marks.layers(frame)]
        data = frame - self._timing.data.first
        if data >= 0:
            layers += self._flags.layers(data)
        gaps = [
            rect
            for gap, move in zip(self._gaps, self._gap_moves(), strict=True)
            if frame >= move.first
            for rect in gap.covers
        ]
        layers += [layer for part in self._last_parts() for layer in part.layers(frame)]
        if self._second:
            # A line of the ink's colour is not to be told from the time axis and its numbers.
            plot, thick = self.axes.plot, self._page.px(self._page.style.strokes.rule)
            gaps.append(Rect(plot.left, plot.bottom - thick, plot.right, self._rect.bottom))
        return (*(layer.covers for layer in layers), *gaps)

    def _last_parts(self) -> tuple[Crosshair | Inset, ...]:
        return (*self._crosshair, *self._inset)

    def _gap_moves(self) -> tuple[Move, ...]:
        """Return when each gap is called out: after the data, or in a pause at its time."""
        timing, content = self._timing, self._content
        moves = {i: move for (what, i), move in zip(content.steps, timing.steps, strict=True)
                 if what == "gap"}  # fmt: skip
        for index in content.stops:
            step = round(self._page.style.motion.step * float(self._stage.rate))
            moves[index] = Move(timing.pause.first, max(1, min(step, timing.pause.frames)))
        return tuple(moves[index] for index in range(len(content.gaps)))

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, area, stages = self._rect, self.axes.plot, self._timing
        shown = rect.left + stages.panel.grown(frame, rect.right - rect.left)
        layers = [through(x, Rect(0, 0, shown, self.height)) for x in self._plate]
        share = 1.0
        for closer in self._closer:
            share = closer.share(frame)
            if share == 0:
                return layers + closer.layers(frame)
        if frame >= stages.axes.first:
            up = rect.bottom - stages.axes.grown(frame, rect.bottom - rect.top)
            along = area.left + stages.axes.grown(frame, rect.right - area.left)
            window = Rect(0, 0, along, self.height)
            plot = [through(x, Rect(0, up, self.width, rect.bottom)) for x in self._upwards]
            plot += [through(x, window) for x in self._plot.across]
            plot += self._shown(frame, self._bands)
            plot += [through(x, window) for x in self._before.layers]
            layers += plot if share == 1 else _without_text(plot, share)
        if frame >= stages.data.first:
            layers += self._data_layers(frame, share)
            labels = self._labels(frame)
            layers += labels if share == 1 else risen(labels, share)
            layers += self._flags.layers(frame - stages.data.first)
        return layers

    def _labels(self, frame: int) -> list[Layer]:
        """Return what is said of the curves at a frame."""
        layers: list[Layer] = []
        for gap, move in zip(self._gaps, self._gap_moves(), strict=True):
            layers += gap.layers(frame, move)
        layers += self._marks.layers(frame)
        for part in self._last_parts():
            layers += part.layers(frame)
        return layers

    def _data_layers(self, frame: int, share: float) -> list[Layer]:
        """Return the time passed, the level and the curves as far as they have come."""
        furthest = self._column(self._timing.elapsed_s(frame))
        layers = [through(self._plot.elapsed, Rect(0, 0, furthest, self.height))]
        level = self._marks.behind(furthest)
        layers += level if share == 1 else risen(level, share)
        return layers + self._shown(frame, self._drawn)

    def _column(self, time_s: float) -> int:
        return int(columns_at(np.array([time_s]), self.axes)[0])

    def _shown(self, frame: int, parts: Sequence[Layer | None]) -> list[Layer]:
        """Show one layer a curve as far as that has come, the first entry on top."""
        if frame < self._timing.data.first:
            return []
        layers: list[Layer] = []
        for index, layer in reversed(list(enumerate(parts))):
            elapsed_s = self._timing.elapsed_s(frame, self._turn(index))
            if layer is not None and elapsed_s > 0:
                window = Rect(0, 0, self._column(elapsed_s), self.height)
                layers.append(through(layer, window))
        return layers


def _without_text(layers: Sequence[Layer], share: float) -> list[Layer]:
    """Let lines of text go, and keep everything else."""
    kept: list[Layer] = []
    for layer in layers:
        kept += risen([layer], share) if layer.patch.written else [layer]
    return kept


def _pale(colour: Colour) -> Colour:
    return Colour(*colour.rgb, _BAND_ALPHA)


def _panel_rect(page: Page) -> Rect:
    """Place the panel inside the graphics-safe area, low where there is room above it.

    On a tall canvas it keeps clear of the lowest fifth, where players put their own controls.
    """
    safe = page.graphics
    share = {"wide": 0.76, "square": 0.86, "tall": 0.6}[page.shape]
    bottom = round(page.height * 0.82) if page.shape == "tall" else safe.bottom
    return Rect(safe.left, bottom - round(share * page.height), safe.right, bottom)
