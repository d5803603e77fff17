"""Events of the curves: a scribed mark where it happens, and what it says beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve
from overlays.draw.motion import Move
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.room import Room
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import Face
from overlays.draw.value import Value
from overlays.kinds._curve_content import CurvesContent, Mark
from overlays.kinds._curve_gaps import leader, risen
from overlays.kinds._curve_timing import Timing

__all__ = ["Marks"]

# Half the height of a scribed mark, and the width of the entry's colour beside its label, in a
# style's lengths.
_REACH, _CHIP = 20, 6


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """One mark: the scribed line, its label, and when they come."""

    scribed: Layer
    label: tuple[Layer, ...]
    reached: int
    told: Move


class Marks:
    """Draws events; each comes when its curve has come to it, its label once that is clear of it.

    Parameters
    ----------
    curves : sequence of Curve
        One a line of the content.
    room : Room
        What is taken already; labels placed are taken from it.
    step : int
        Frames a label takes to come up.
    frames : int
        Of the cue.
    """

    def __init__(
        self,
        content: CurvesContent,
        curves: Sequence[Curve],
        axes: Axes,
        page: Page,
        *,
        room: Room,
        timing: Timing,
        step: int,
        frames: int,
    ) -> None:
        self._axes, self._page, self._room, self._timing = axes, page, room, timing
        self._step, self._frames = step, frames
        self._level = () if content.level is None else (self._ruled(content.level),)
        turns = content.in_turn
        self._drawn = (
            *(self._mark(x, curves[x.line], x.line if turns else 0) for x in content.marks),
            *self._listed(content.reached, curves, turns=turns),
        )

    def _ruled(self, level: float) -> Layer:
        """Rule a level across the plot, in short strokes."""
        page, plot = self._page, self._axes.plot
        hair, y = page.px(page.style.strokes.hair), self._axes.value.at(level)
        stroke, rest = page.px(9), page.px(7)
        sheet = Sheet(Rect(plot.left, int(y) - hair - 1, plot.right, int(y) + hair + 2))
        for left in range(plot.left, plot.right, stroke + rest):
            top = round(y - hair / 2)
            sheet.rect(
                Rect(left, top, min(left + stroke, plot.right), top + hair), page.colours.ink
            )
        return sheet.layer()

    def _scribed(self, mark: Mark) -> Rect:
        page, axes = self._page, self._axes
        reach, hair = page.px(_REACH), page.px(page.style.strokes.hair)
        left = round(axes.time.at(mark.at_s) - hair / 2)
        y = round(axes.value.at(mark.value))
        return Rect(left, y - reach, left + hair, y + reach)

    def _mark(self, mark: Mark, curve: Curve, turn: int) -> _Drawn:
        """Draw an event with a label of its own."""
        page, rect = self._page, self._scribed(mark)
        small, number = self._faces()
        text, note = page.number(mark.number), mark.note.replace(".", page.decimal_mark)
        chip, air = page.px(_CHIP), page.px(12)
        wide = max(number.width(text, mark.unit), small.width(note))
        tall = number.height + page.px(10) + small.cap_height
        place = self._room.place((chip + air + wide, tall), rect, page.px(12), margin=page.px(8))
        inner = place.left + chip + air
        label = [
            block(Rect(place.left, place.top, place.left + chip, place.bottom), curve.colour),
            *number.layers(text, mark.unit, inner, place.top + number.height),
            small.layer(note, inner, place.bottom, page.colours.quiet),
        ]
        lead = leader(place, rect, page, self._room)
        if lead is not None:
            label.append(lead)
        return self._timed(mark, label, place, turn)

    def _faces(self) -> tuple[Face, Value]:
        page = self._page
        sizes, colours = page.style.type, page.colours
        strong = page.face("strong", sizes.small)
        value = Value(page.face("strong", sizes.value), strong, colours.ink, colours.quiet)
        return page.face("text", sizes.small), value

    def _listed(
        self, reached: Sequence[Mark], curves: Sequence[Curve], *, turns: bool
    ) -> list[_Drawn]:
        """Draw events that are told in one list: a heading, and a row each as it happens."""
        if not reached:
            return []
        page, rects = self._page, [self._scribed(mark) for mark in reached]
        small, number = self._faces()
        chip, air = page.px(_CHIP), page.px(12)
        texts = [page.number(mark.number) for mark in reached]
        note = reached[0].note.replace(".", page.decimal_mark)
        digits = max(number.digits_width(text) for text in texts)
        wide = digits + max(
            number.width(x, reached[0].unit) - number.digits_width(x) for x in texts
        )
        step = number.height + page.px(16)
        size = (
            max(chip + air + wide, small.width(note)),
            small.cap_height + len(reached) * step,
        )
        around = rects[0]
        for rect in rects[1:]:
            around = around.join(rect)
        place = self._room.place(size, around, page.px(18), margin=page.px(10))
        heading = small.layer(note, place.left, place.top + small.cap_height, page.colours.quiet)
        found: list[_Drawn] = []
        for index, (mark, text) in enumerate(zip(reached, texts, strict=True)):
            baseline = place.top + small.cap_height + (index + 1) * step
            left = place.left + chip + air + digits - number.digits_width(text)
            edge = Rect(place.left, baseline - number.height, place.left + chip, baseline)
            label = [
                block(edge, curves[mark.line].colour),
                *number.layers(text, mark.unit, left, baseline),
            ]
            turn = mark.line if turns else 0
            found.append(self._timed(mark, label if index else [heading, *label], place, turn))
        return found

    def _timed(self, mark: Mark, label: Sequence[Layer], place: Rect, turn: int) -> _Drawn:
        """Let a label come once the curve's head, and the flag that goes with it, are past it."""
        page, plot = self._page, self._axes.plot
        clear_s = self._axes.time.value(min(place.right + page.px(12), plot.right))
        first = self._timing.frame_at(max(mark.at_s, clear_s), turn)
        length = max(1, min(self._step, (self._frames - first) // 3))
        return _Drawn(
            block(self._scribed(mark), page.colours.ink),
            tuple(label),
            self._timing.frame_at(mark.at_s, turn),
            Move(first, length),
        )

    def behind(self, shown: int) -> list[Layer]:
        """Return what lies behind the curves, up to a column."""
        window = Rect(0, 0, shown, self._page.height)
        return [Layer(x.patch, x.left, x.top, x.covers.meet(window)) for x in self._level]

    def layers(self, frame: int) -> list[Layer]:
        """Return marks and labels at a frame."""
        layers: list[Layer] = []
        for drawn in self._drawn:
            if frame >= drawn.reached:
                layers.append(drawn.scribed)
            if frame >= drawn.told.first:
                layers += risen(drawn.label, drawn.told.eased(frame))
        return layers
