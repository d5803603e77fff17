"""The frames of a curves overlay: axes first, then data, then the comparison."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve, Floats, drawn
from overlays.draw.dimension import Dimension, Obstacles, free_place
from overlays.draw.flags import Flags, Heads, Ints, flag_shape
from overlays.draw.heading import heading
from overlays.draw.motion import Move, staged
from overlays.draw.numerals import widest_number
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.plot import plot
from overlays.draw.rule import RULE, strip
from overlays.draw.value import Value
from overlays.errors import OutlineError
from overlays.kinds._traces import Line
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.numbers import fixed, rounded
from overlays.style.house import Style

__all__ = ["CurvesContent", "CurvesScene", "Gap", "Pace", "Timing", "timing"]

Pace = Literal["live", "fit"]


@dataclass(frozen=True, slots=True)
class Gap:
    """The difference of two lines at a moment.

    Parameters
    ----------
    first, second : int
        Indices of the lines.
    at_s : float
        When.
    values : (float, float)
        The two values there.
    """

    first: int
    second: int
    at_s: float
    values: tuple[float, float]

    def size(self, places: int) -> Decimal:
        """Return how far apart the two values as shown are: viewers do that subtraction."""
        first, second = (rounded(value, places) for value in self.values)
        return abs(first - second)


@dataclass(frozen=True, slots=True, eq=False)
class CurvesContent(Content):
    """What a curves overlay shows.

    Parameters
    ----------
    title : str
        The test, unless the cue says otherwise.
    caption : tuple of str
        Channel and unit, runs, conditioning.
    unit : str
        As set on screen.
    places : int
        Decimals of a value.
    length_s : float
        Seconds across.
    pace : {"live", "fit"}
        One second per second, or as long as the cue allows.
    lines : tuple of Line
        In the order of the cue.
    gap : Gap or None
        What is called out.
    """

    title: str
    caption: tuple[str, ...]
    unit: str
    places: int
    length_s: float
    pace: Pace
    lines: tuple[Line, ...]
    gap: Gap | None

    @property
    def values(self) -> tuple[str, ...]:
        """Every line's last value, and the gap."""
        numbers = [*(line.last for line in self.lines)]
        if self.gap is not None:
            numbers.append(float(self.gap.size(self.places)))
        return tuple(fixed(number, self.places) for number in numbers)


@dataclass(frozen=True, slots=True)
class Timing:
    """What happens when: the panel, then axes, then data, then the gap."""

    panel: Move
    axes: Move
    data: Move
    gap: Move

    def elapsed_s(self, frame: int, content: CurvesContent, stage: Stage) -> float:
        """Return the time of the run shown at a frame."""
        if content.pace == "fit":
            return content.length_s * self.data.progress(frame)
        passed = (frame - self.data.first + 1) / float(stage.rate)
        return min(max(passed, 0.0), content.length_s)

    def frame_at(self, run_s: float, content: CurvesContent, stage: Stage) -> int:
        """Return the first frame that shows the run up to a time."""
        if content.pace == "fit":
            steps = run_s / content.length_s * self.data.frames
        else:
            steps = run_s * float(stage.rate)
        # A breath less, so that a time that falls on a frame is not pushed to the next.
        place = self.data.first + max(0, math.ceil(steps - 1e-6) - 1)
        return min(place, self.data.end - 1)


# Without a style, as when a length is only checked, stages are as long as this.
_STAGE_S = 0.4
# How long a cue that curves fill looks at the end, and its share of the cue at most.
_LOOK_S, _LOOK_SHARE = 1.6, 0.2


def timing(content: CurvesContent, stage: Stage, *, style: Style | None) -> Timing:
    """Share a cue's frames out.

    Raises
    ------
    OutlineError
        If the run at live pace leaves no frame for the axes and the gap.
    """
    motion = style.motion if style is not None else None
    panel_s, axes_s = (motion.panel, motion.axes) if motion else (_STAGE_S, _STAGE_S)
    gap_s = (motion.step if motion else _STAGE_S) if content.gap else 0.0
    settle_s = motion.swap if motion else _STAGE_S
    rate, frames = float(stage.rate), stage.frames
    least = 3 if content.gap else 2
    if content.pace == "live":
        data = math.ceil(content.length_s * rate - 1e-9)
    else:
        look_s = min(_LOOK_S, _LOOK_SHARE * frames / rate)
        around = round((panel_s + axes_s + settle_s + gap_s + look_s) * rate)
        data = max(1, frames - around, min(frames // 2, frames - least))
    spare = frames - data
    if spare < least:
        needed_s = (data + least) / rate
        raise OutlineError(
            f"the cue lasts {frames / rate:.2f} s; the run of {content.length_s:g} s at "
            f"{content.pace} pace needs at least {needed_s:.2f} s.",
            code="cue-too-short",
            field="pace",
            remedy='Make the cue longer, or write pace = "fit".',
        )
    first, second = staged((panel_s, axes_s), stage.rate, max(2, spare * 3 // 5))
    drawing = Move(second.end, data)
    left = frames - drawing.end
    settle = min(round(settle_s * rate), left // 3)
    gap_frames = min(max(1, round(gap_s * rate)), max(1, left - settle))
    return Timing(first, second, drawing, Move(drawing.end + settle, gap_frames))


class CurvesScene:
    """The frames of a curves overlay."""

    def __init__(self, content: CurvesContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content, self._stage = content, stage
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._timing = timing(content, stage, style=style)
        self._rect = _panel_rect(page)
        self._lay_plate()
        self.curves = tuple(
            Curve(line.entry, line.time_s, line.values, style.colours.entry(line.colour),
                  page.scale * style.strokes.curve)
            for line in content.lines
        )  # fmt: skip
        self._drawn = tuple(drawn(curve, self.axes) for curve in self.curves)
        self._values, heads = self._follow()
        self._flags = Flags(
            names=[line.name for line in content.lines],
            colours=[curve.colour for curve in self.curves],
            heads=heads,
            text=self._text,
            shape=self._shape,
            low=self.axes.plot.top - page.px(10),
            high=self.axes.plot.bottom + page.px(10),
            window=self._settling(),
            page=page,
        )
        self._gap = self._call_out()

    def _settling(self) -> int:
        """Return how many frames a change among flags takes; the cue leaves room for the last."""
        swap = round(self._page.style.motion.swap * float(self._stage.rate))
        return max(1, min(swap, self.frames - self._timing.data.end))

    @property
    def axes(self) -> Axes:
        """From pixels to seconds and values."""
        return self._plot.axes

    def _lay_plate(self) -> None:
        content, page, rect = self._content, self._page, self._rect
        edge = Rect(rect.left, rect.top, rect.left + page.px(RULE), rect.bottom)
        title, below = heading(
            content.title, content.caption, rect, page, left=edge.right + page.px(12)
        )
        values = np.concatenate([line.values for line in content.lines])
        spread = float(np.nanmin(values)), float(np.nanmax(values))
        widest = page.number(widest_number(spread, content.places))
        names = [line.name for line in content.lines]
        self._shape = flag_shape(names, widest, (rect.bottom - rect.top) // 2, page)
        right = rect.right - page.px(page.style.space.apart)
        self._plot = plot(
            Rect(rect.left, below, right, rect.bottom - page.px(page.style.space.pad)),
            rect,
            page,
            values=spread,
            length_s=content.length_s,
            right_room=self._shape.pin + self._shape.width,
            unit=content.unit,
        )
        self._plate = (panel(rect, page), strip(edge, page), *title)

    def _follow(self) -> tuple[Floats, Heads]:
        """Return the values at the heads, shape (F, K), NaN inside gaps, and where heads are."""
        data = self._timing.data
        frames = range(data.first, data.end)
        times = np.array([self._timing.elapsed_s(n, self._content, self._stage) for n in frames])
        values, xs, ys = [], [], []
        for line in self._content.lines:
            ends_s = line.time_s[np.isfinite(line.values)][-1]
            until = np.minimum(times, ends_s)
            value = np.interp(until, line.time_s, line.values)
            values.append(value)
            xs.append(self._columns(until))
            ys.append(_held(self.axes.value.px(value)))
        return np.stack(values, axis=1), Heads(np.stack(xs, axis=1), np.stack(ys, axis=1))

    def _columns(self, times: Floats) -> Ints:
        """Return the first pixel column not drawn yet at each time."""
        area = self.axes.plot
        columns = np.floor(self.axes.time.px(times) + 0.5).astype(np.int64)
        return np.clip(columns, area.left + 1, area.right)

    def _text(self, frame: int, curve: int) -> str:
        """Return a head's value as shown, by frame of the data; a dash inside a gap."""
        value = float(self._values[frame, curve])
        return self._set(value) if math.isfinite(value) else "–"

    def _set(self, value: float) -> str:
        return self._page.number(fixed(value, self._content.places))

    def _call_out(self) -> tuple[Layer, tuple[Layer, ...]] | None:
        """Draw the dimension line of the gap, and its figure where no curve runs."""
        gap, page = self._content.gap, self._page
        if gap is None:
            return None
        ink, quiet = page.colours.ink, page.colours.quiet
        sizes, half = page.style.type, self.curves[0].width / 2
        top, bottom = sorted(self.axes.value.at(value) for value in gap.values)
        x = min(round(self.axes.time.at(gap.at_s)), self.axes.plot.right - page.px(8))
        hair, head = page.px(page.style.strokes.hair), page.px(18)
        line = Dimension(x, top + half, bottom - half, ink, hair, head).layer()
        small = page.face("text", sizes.small)
        loud, strong = page.face("loud", sizes.title), page.face("strong", sizes.small)
        number = Value(loud, strong, ink, quiet)
        text, unit = self._set(float(gap.size(self._content.places))), self._content.unit
        when = f"at {page.number(f'{gap.at_s:g}')} s"
        deep = number.height + page.px(10) + small.cap_height
        size = (max(number.width(text, unit), small.width(when)), deep)
        measured = Rect(x, round(top), x + hair, round(bottom))
        place = free_place(size, measured, page.px(18), self.axes.plot, self._obstacles())
        return line, (
            *number.layers(text, unit, place.left, place.top + number.height),
            small.layer(when, place.left, place.bottom, quiet),
        )

    def _obstacles(self) -> Obstacles:
        """Return the rows of every curve at every column of the plot."""
        columns = np.arange(self.axes.plot.left, self.axes.plot.right)
        share = (columns + 0.5 - self.axes.time.start) / (self.axes.time.end - self.axes.time.start)
        times = share * self._content.length_s
        rows = [
            self.axes.value.px(np.interp(times, c.time_s, c.values, left=np.nan, right=np.nan))
            for c in self.curves
        ]
        return Obstacles(columns, np.stack(rows), self.curves[0].width / 2)

    def drawn_to_s(self, frame: int) -> float | None:
        """Return up to which time the curves are drawn; None before they begin."""
        if frame < self._timing.data.first:
            return None
        return self._timing.elapsed_s(frame, self._content, self._stage)

    def covered(self, frame: int) -> Sequence[Rect]:
        """Return where pins, flags and the gap may lie over the curves."""
        data = frame - self._timing.data.first
        if data < 0:
            return ()
        layers = self._flags.layers(data)
        if self._gap is not None and frame >= self._timing.gap.first:
            layers += [self._gap[0], *self._gap[1]]
        return tuple(layer.covers for layer in layers)

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, area, stages = self._rect, self.axes.plot, self._timing
        shown = rect.left + stages.panel.grown(frame, rect.right - rect.left)
        layers = [through(x, Rect(0, 0, shown, self.height)) for x in self._plate]
        if frame >= stages.axes.first:
            up = rect.bottom - stages.axes.grown(frame, rect.bottom - rect.top)
            along = area.left + stages.axes.grown(frame, rect.right - area.left)
            layers += [through(x, Rect(0, up, self.width, rect.bottom)) for x in self._plot.upwards]
            layers += [through(x, Rect(0, 0, along, self.height)) for x in self._plot.across]
        if frame >= stages.data.first:
            elapsed = np.array([stages.elapsed_s(frame, self._content, self._stage)])
            window = Rect(0, 0, int(self._columns(elapsed)[0]), self.height)
            layers.append(through(self._plot.elapsed, window))
            layers += [through(layer, window) for layer in reversed(self._drawn)]
            if self._gap is not None and frame >= stages.gap.first:
                layers += self._gap_layers(*self._gap, stages.gap.eased(frame))
            layers += self._flags.layers(frame - stages.data.first)
        return layers

    def _gap_layers(self, line: Layer, label: Sequence[Layer], share: float) -> list[Layer]:
        """Let the line grow from its middle, and its figure come up."""
        covers = line.covers
        middle, half = (covers.top + covers.bottom) // 2, (covers.bottom - covers.top) / 2
        grown = math.ceil(half * share) + 1
        window = Rect(0, middle - grown, self.width, middle + grown)
        risen = round(255 * share)
        return [
            through(line, window),
            *(Layer(x.patch, x.left, x.top, None, risen) if risen < 255 else x for x in label),
        ]


def _held(rows: Floats) -> Floats:
    """Fill gaps with the row before them, and a leading one with the first row there is."""
    good = np.isfinite(rows)
    if not good.any():
        return np.zeros_like(rows)
    last = np.maximum.accumulate(np.where(good, np.arange(len(rows)), -1))
    return np.where(last >= 0, rows[np.maximum(last, 0)], rows[good][0])


def _panel_rect(page: Page) -> Rect:
    """Place the panel inside the graphics-safe area, low where there is room above it.

    On a tall canvas it keeps clear of the lowest fifth, where players put their own controls.
    """
    safe = page.graphics
    share = {"wide": 0.76, "square": 0.86, "tall": 0.6}[page.shape]
    bottom = round(page.height * 0.82) if page.shape == "tall" else safe.bottom
    return Rect(safe.left, bottom - round(share * page.height), safe.right, bottom)
