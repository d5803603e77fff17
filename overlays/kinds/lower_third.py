"""Lower third: who it is, what it costs and weighs, and the figures that matter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import Field

from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.heading import JOINT
from overlays.draw.motion import staged, wiped
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, Scene, through
from overlays.draw.picture import Picture, fitted_size, placed_in
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted, wrapped
from overlays.draw.value import Value
from overlays.kinds._figures import Shown, shown_attribute, shown_figure
from overlays.kinds._pictured import BOX_HEIGHT, BOX_WIDTH, entry_picture
from overlays.kinds.base import Content, Overlay
from overlays.model.clip import Stage
from overlays.model.result import Results
from overlays.style.house import Style

__all__ = ["LowerThird", "LowerThirdContent"]


@dataclass(frozen=True, slots=True)
class LowerThirdContent(Content):
    """What a lower third shows.

    Parameters
    ----------
    name, note : str
        The entry's.
    colour : int
        The entry's place in the session.
    attributes : tuple of (str, str)
        Number and unit each.
    shown : tuple of Shown
        The figures.
    picture : Picture or None
        What the entry looks like.
    """

    name: str
    note: str
    colour: int
    attributes: tuple[tuple[str, str], ...]
    shown: tuple[Shown, ...]
    picture: Picture | None = None


@dataclass(frozen=True, kw_only=True)
class LowerThird(Overlay[LowerThirdContent]):
    """A card at the foot of the picture, with what the entry looks like where it has a picture.

    Parameters
    ----------
    entry : str
        Whose card it is.
    figures : tuple of str
        Up to three figures, set large.
    attributes : tuple of str
        Attributes of the entry, set quietly beside its note.
    """

    kind: ClassVar[str] = "lower_third"

    entry: str
    figures: Annotated[tuple[str, ...], Field(max_length=3)] = ()
    attributes: Annotated[tuple[str, ...], Field(max_length=4)] = ()

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("entry", (self.entry,), "entries"), ("figures", self.figures, "figures"))

    def content(self, results: Results) -> LowerThirdContent:
        """Take the entry's figures. Raises `OutlineError` where one is not there."""
        spec = results.session.spec
        entry = spec.entries[self.entry]
        repeats = {
            results.figures[figure, self.entry].test
            for figure in self.figures
            if (figure, self.entry) in results.figures
        }
        runs = [
            results.repeats[self.entry, test].median_run.ref.file
            for test in sorted(test for test in repeats if test is not None)
            if (self.entry, test) in results.repeats
        ]
        return LowerThirdContent(
            figures=tuple((figure, self.entry) for figure in self.figures),
            runs=tuple(runs),
            name=entry.name,
            note=entry.note,
            colour=list(spec.entries).index(self.entry),
            attributes=tuple(
                shown_attribute(results, name, self.entry) for name in self.attributes
            ),
            shown=tuple(shown_figure(results, figure, self.entry) for figure in self.figures),
            picture=entry_picture(results, self.entry),
        )

    @classmethod
    def lay_out(cls, content: LowerThirdContent, stage: Stage, style: Style) -> Scene:
        """Draw the card."""
        return LowerThirdScene(content, stage, style)

    @classmethod
    def describe(cls, content: LowerThirdContent) -> str:
        """Say the name and every number on the card."""
        aside = [content.note, *(f"{number} {unit}" for number, unit in content.attributes)]
        figures = [f"{item.label} {item.text} {item.unit}".rstrip() for item in content.shown]
        first = ", ".join(part for part in (content.name, *aside) if part)
        return f"{first}. {'; '.join(figures)}.".replace(" .", "").strip()

    @classmethod
    def natural_s(cls, content: LowerThirdContent) -> float:
        """Return the time to come in and be read."""
        return 4.0 + 1.0 * len(content.shown)


# Lengths of the card: its coloured edge, its space above and below, and within a figure.
_EDGE, _MARGIN, _LABEL_GAP = 12, 34, 18
# How far a picture reaches into the space above and below.
_OVER = 18
_BAR, _RULE, _SCALE_GAP, _SCALE_WIDTH = 10, 16, 18, 200


class LowerThirdScene:
    """The frames of a lower third."""

    def __init__(self, content: LowerThirdContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._page = page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._content = content
        self._colour = page.colours.entry(content.colour)
        self._loud = page.face("loud", style.type.title)
        self._small = page.face("text", style.type.small)
        self._value = Value(
            page.face("loud", style.type.figure),
            page.face("strong", style.type.small),
            page.colours.ink,
            page.colours.quiet,
        )
        self._pad, self._apart = page.px(style.space.pad), page.px(style.space.apart)
        scaled = any(item.claim_share is not None for item in content.shown)
        self._scale_room = page.px(_SCALE_GAP + _BAR + _RULE) if scaled else 0
        self._figure_height = (
            self._small.cap_height + page.px(_LABEL_GAP) + self._value.height + self._scale_room
        )
        if page.shape == "wide":
            self._lay_in_line()
        else:
            self._lay_in_two()
        steps = (style.motion.step for _ in content.shown)
        self._moves = staged((style.motion.panel, *steps), stage.rate, stage.frames)

    def _lay_in_line(self) -> None:
        """Lay name and figures side by side, the card as wide as they need."""
        page, content = self._page, self._content
        widths = [self._figure_width(item) for item in content.shown]
        beside = sum(widths) + 2 * self._apart * len(widths)
        seen, high = self._picture_room()
        around = page.px(_EDGE) + 2 * self._pad + seen
        name, lines = self._name_texts(page.graphics.right - page.graphics.left - around - beside)
        wide = max(self._loud.width(name), *(self._small.width(line) for line in lines), 1)
        over = page.px(_OVER)
        inner = max(self._name_height(lines), self._figure_height if widths else 0, high - 2 * over)
        rect = self._panel(around + wide + beside, inner)
        left, top = rect.left + page.px(_EDGE) + self._pad, rect.top + page.px(_MARGIN)
        seen_in = Rect(left, top - over, left + seen - self._pad, top + inner + over)
        left += seen
        name_top = top + (inner - self._name_height(lines)) // 2
        self._lay_plate(rect, name, lines, (left, name_top), seen_in)
        self._parts = []
        x, figures_top = left + wide, top + (inner - self._figure_height) // 2
        for item, width in zip(content.shown, widths, strict=True):
            x += 2 * self._apart
            self._parts.append(self._figure(item, Rect(x, figures_top, x + width, 0), divided=True))
            x += width

    def _lay_in_two(self) -> None:
        """Lay the figures under the name, in columns of one width."""
        page, content = self._page, self._content
        safe, count = page.graphics, len(content.shown)
        left, right = safe.left + page.px(_EDGE) + self._pad, safe.right - self._pad
        seen, high = self._picture_room()
        name, lines = self._name_texts(right - left - seen)
        below = self._figure_height + self._pad if count else 0
        over = page.px(_OVER)
        first = max(self._name_height(lines), high - over)
        rect = self._panel(safe.right - safe.left, first + below)
        top = rect.top + page.px(_MARGIN)
        seen_in = Rect(left, top - over, left + seen - self._pad, top + first)
        name_top = top + (first - self._name_height(lines)) // 2
        self._lay_plate(rect, name, lines, (left + seen, name_top), seen_in)
        top += first + self._pad
        space = 2 * self._apart
        width = (right - left - space * (count - 1)) // max(1, count)
        self._parts = [
            self._figure(
                item,
                Rect(left + i * (width + space), top, left + i * (width + space) + width, 0),
                divided=i > 0,
            )
            for i, item in enumerate(content.shown)
        ]

    def _picture_room(self) -> tuple[int, int]:
        """Return the width the picture takes with the space after it, and its height; or zeros."""
        picture, px = self._content.picture, self._page.px
        if picture is None:
            return 0, 0
        wide, high = fitted_size(picture, px(BOX_WIDTH), px(BOX_HEIGHT))
        return wide + self._pad, high

    def _name_texts(self, room: int) -> tuple[str, list[str]]:
        """Return the name and the quiet lines under it, no wider than `room`."""
        content = self._content
        aside = [content.note, *(self._joined(*pair) for pair in content.attributes)]
        return fitted(self._loud, content.name, room), wrapped(self._small, aside, JOINT, room)

    def _joined(self, number: str, unit: str) -> str:
        text = self._page.number(number)
        return f"{text}\N{NO-BREAK SPACE}{unit}" if unit else text

    def _name_height(self, lines: Sequence[str]) -> int:
        return self._loud.cap_height + len(lines) * self._small.line + self._page.px(6)

    def _panel(self, width: int, inner: int) -> Rect:
        """Place a card low in the graphics-safe area, clear of a player's own controls."""
        page, height = self._page, inner + 2 * self._page.px(_MARGIN)
        bottom = round(page.height * 0.82) if page.shape == "tall" else page.graphics.bottom
        left = page.graphics.left
        return Rect(left, bottom - height, left + width, bottom)

    def _lay_plate(
        self, rect: Rect, name: str, lines: Sequence[str], at: tuple[int, int], seen_in: Rect
    ) -> None:
        page, colours = self._page, self._page.colours
        x, baseline = at[0], at[1] + self._loud.cap_height
        edge = Rect(rect.left, rect.top, rect.left + page.px(_EDGE), rect.bottom)
        layers = [panel(rect, page), block(edge, self._colour)]
        if self._content.picture is not None:
            layers.append(placed_in(self._content.picture, seen_in))
        layers.append(self._loud.layer(name, x, baseline, colours.ink))
        baseline += page.px(6)
        for line in lines:
            baseline += self._small.line
            layers.append(self._small.layer(line, x, baseline, colours.quiet))
        self._rect, self._plate = rect, tuple(layers)

    # Figures

    def _label(self, item: Shown) -> str:
        return f"{item.label}, {item.note}" if item.note else item.label

    def _figure_width(self, item: Shown) -> int:
        label = self._small.width(self._label(item))
        value = self._value.width(self._page.number(item.text), item.unit)
        scale = self._page.px(_SCALE_WIDTH) if item.claim_share is not None else 0
        return max(label, value, scale)

    def _figure(
        self, item: Shown, room: Rect, *, divided: bool
    ) -> tuple[tuple[Layer, ...], Layer | None]:
        """Draw a figure from the upper left corner of `room`, as wide as it; its bar apart."""
        page, colours = self._page, self._page.colours
        x, top, right, _ = room
        baseline = top + self._small.cap_height
        label = fitted(self._small, self._label(item), right - x)
        layers = [self._small.layer(label, x, baseline, colours.quiet)]
        if divided:
            hair = page.px(page.style.strokes.hair)
            line = Rect(x - self._apart, top, x - self._apart + hair, top + self._figure_height)
            layers.append(block(line, colours.grid))
        baseline += page.px(_LABEL_GAP) + self._value.height
        layers += self._value.layers(page.number(item.text), item.unit, x, baseline)
        if item.claim_share is None:
            return tuple(layers), None
        along = Rect(x, baseline + page.px(_SCALE_GAP), right, 0)
        rule, bar = self._claim_scale(item.claim_share, along)
        return (*layers, *rule), bar

    def _claim_scale(self, share: float, along: Rect) -> tuple[tuple[Layer, ...], Layer]:
        """Lay a rule as long as what is claimed, and along it a bar of what was measured."""
        page, (x, top, right, _) = self._page, along
        most = max(1.0, share)
        scale = Scale(0.0, most, x, right)
        under = top + page.px(_BAR)
        body = Rect(x, under, round(scale.at(1.0)), under + page.px(_RULE))
        ticks = nice_ticks(0.0, 1.0, 2)
        bar = block(Rect(x, top, max(x + 1, round(scale.at(share))), under), self._colour)
        return (strip(body, page), engraved(body, "top", scale, ticks, page)), bar

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, entrance = self._rect, self._moves[0]
        shown = rect.left + entrance.grown(frame, rect.right - rect.left)
        layers = [through(layer, Rect(0, 0, shown, self.height)) for layer in self._plate]
        for move, (parts, bar) in zip(self._moves[1:], self._parts, strict=True):
            if frame >= move.first:
                layers += wiped(parts, move, frame)
                layers += wiped((bar,), move, frame) if bar is not None else []
        return layers
