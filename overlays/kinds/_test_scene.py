"""A test laid out: what it is, what counts, and its length along a rule, its windows marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.axis import Scale
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.picture import fitted_size, placed_in
from overlays.draw.sheet import block
from overlays.draw.text import fitted, paragraph
from overlays.draw.value import Value
from overlays.kinds._card import FOOT, foot, room, stand, ticks_for
from overlays.kinds._pictured import BOX_HEIGHT, BOX_WIDTH
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds._test_content import Counted, TestCardContent, Window
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["scene_of_test"]

# Between parts of the card; under a label; a row at most; a window's bar, over it and under it.
_APART, _LABEL_GAP, _MOST = 34, 18, 78
_BAR, _OVER, _UNDER = 16, 12, 22
# A moment is as wide as this.
_MOMENT = 6


class _Type:
    """The faces of a test card."""

    def __init__(self, page: Page) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.title = page.face("loud", sizes.title)
        self.body = page.face("text", sizes.body)
        self.small = page.face("text", sizes.small)
        self.strong = page.face("strong", sizes.small)
        self.name = page.face("strong", sizes.body)
        unit = page.face("strong", sizes.small)
        self.fact = Value(page.face("loud", sizes.figure), unit, colours.ink, colours.quiet)
        self.points = Value(page.face("loud", sizes.value), unit, colours.ink, colours.quiet)


@dataclass(frozen=True, slots=True)
class _Lane:
    """A window's place: its bar along the rule, its label over it, counted from the rule up."""

    window: Window
    text: str
    left: int
    right: int
    label: int
    label_end: int
    lane: int

    def covers(self, x: int, near: int) -> bool:
        """Say whether its bar or label stands in a column, or nearer to it than `near`."""
        left, right = min(self.left, self.label), max(self.right, self.label_end)
        return left - near <= x < right + near


def scene_of_test(content: TestCardContent, stage: Stage, style: Style) -> RowsScene:
    """Draw a test card."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    kind, space, px = _Type(page), room(page), page.px
    _, head = _head(content, space, kind)
    _, facts = _facts(content, space, head, kind)
    scale = _scale(content, space, kind)
    lanes = _lanes(content, scale, kind)
    high = _lane_height(kind) * (1 + max((lane.lane for lane in lanes), default=-1))
    free = space.bottom - space.top - facts - high - 2 * px(_APART) - px(FOOT)
    row = max(1, min(px(_MOST), free // len(content.rows)))
    rect = stand(page, facts + px(_APART) + row * len(content.rows) + px(_APART) + high + px(FOOT))
    said, _ = _head(content, rect, kind)
    figures, _ = _facts(content, rect, head, kind)
    top = rect.top + facts + px(_APART)
    ticks = ticks_for(0.0, content.length[0], scale.end - scale.start, page)
    return RowsScene(
        stage,
        style,
        rect=rect,
        plate=(panel(rect, page), *said),
        ruled=(*figures, *foot(rect, scale, ticks, page, says=content.length[2])),
        rows=[
            *(_window(lane, lanes, rect, kind) for lane in lanes),
            *(_row(one, rect, top + i * row, row, kind) for i, one in enumerate(content.rows)),
        ],
        step=1.6,
    )


def _logo_box(content: TestCardContent, rect: Rect, kind: _Type) -> Rect:
    """Return where the logo stands, under the panel's cut corner; empty where there is none."""
    page, px = kind.page, kind.page.px
    pad = px(page.style.space.pad)
    right, top = rect.right - pad, rect.top + pad * 3 // 4
    if content.logo is None:
        return Rect(right, top, right, top)
    wide, high = fitted_size(content.logo, px(BOX_WIDTH), px(BOX_HEIGHT))
    return Rect(right - wide, top, right, top + high)


def _head(content: TestCardContent, rect: Rect, kind: _Type) -> tuple[tuple[Layer, ...], int]:
    """Set title, method, caution and logo; return how far down from the top its words reach."""
    page, colours, px = kind.page, kind.page.colours, kind.page.px
    pad, box = px(page.style.space.pad), _logo_box(content, rect, kind)
    left, right = rect.left + pad, box.left - px(page.style.space.apart)
    layers = [] if content.logo is None else [placed_in(content.logo, box)]
    y = rect.top + pad + kind.title.cap_height
    title = fitted(kind.title, content.title, right - left)
    layers.append(kind.title.layer(title, left, y, colours.ink))
    y += px(6)
    for text, face, colour in (
        (content.method, kind.small, colours.quiet),
        (content.caution and f"Caution: {content.caution}", kind.strong, colours.ink),
    ):
        for line in paragraph(face, text, right - left, most=2):
            y += face.line
            layers.append(face.layer(line, left, y, colour))
    return tuple(layers), y - rect.top


def _facts(
    content: TestCardContent, rect: Rect, head: int, kind: _Type
) -> tuple[tuple[Layer, ...], int]:
    """Set how long, how often, and what counts; return how far down from the top that reaches."""
    page, colours, px = kind.page, kind.page.colours, kind.page.px
    pad, apart = px(page.style.space.pad), px(page.style.space.apart)
    box = _logo_box(content, rect, kind)
    x, top, right = rect.left + pad, rect.top + head + px(_APART), rect.right - pad
    if box.bottom > top:
        right = box.left - apart
    label = top + kind.small.cap_height
    base = label + px(_LABEL_GAP) + kind.fact.height
    number = page.number(content.length[1])
    layers = [kind.small.layer("length", x, label, colours.quiet)]
    layers += kind.fact.layers(number, content.length[2], x, base)
    low = max(base, box.bottom)
    x += max(kind.small.width("length"), kind.fact.width(number, content.length[2])) + 2 * apart
    layers += _divider(x - apart, top, base, page)
    often = "runs each" if content.repeats > 1 else "run each"
    layers.append(kind.small.layer(often, x, label, colours.quiet))
    layers += kind.fact.layers(str(content.repeats), "", x, base)
    lines = _fewer(content, max(kind.small.width(often), (right - x) // 3), kind)
    for at, line in enumerate(lines, start=1):
        under = base + at * kind.small.line
        layers.append(kind.small.layer(line, x, under, colours.quiet))
        low = max(low, under)
    wide = max(kind.small.width(often), *(kind.small.width(line) for line in lines), 0)
    x += wide + 2 * apart
    if content.counts and right > x:
        layers += _divider(x - apart, top, base, page)
        layers.append(kind.small.layer("what counts", x, label, colours.quiet))
        y = label + px(_LABEL_GAP) // 2
        for line in paragraph(kind.body, content.counts, right - x, most=2):
            y += kind.body.line
            layers.append(kind.body.layer(line, x, y, colours.ink))
        low = max(low, y)
    return tuple(layers), low - rect.top


def _fewer(content: TestCardContent, width: int, kind: _Type) -> list[str]:
    """Say of whom there are fewer runs, in two lines at most."""
    if not content.fewer:
        return []
    told = ", ".join(f"{name}: {count}" for name, count in content.fewer)
    lines = paragraph(kind.small, f"but {told}", width, most=3)
    if len(lines) < 3 and not lines[-1].endswith("…"):
        return lines
    return paragraph(kind.small, f"but fewer of {len(content.fewer)} entries", width, most=2)


def _divider(x: int, top: int, bottom: int, page: Page) -> list[Layer]:
    hair = page.px(page.style.strokes.hair)
    return [block(Rect(x, top, x + hair, bottom), page.colours.grid)]


def _row(row: Counted, rect: Rect, top: int, height: int, kind: _Type) -> tuple[Part, ...]:
    """Set a figure that counts: its name, which way is better, the points there are for it."""
    page, colours, px = kind.page, kind.page.colours, kind.page.px
    pad = px(page.style.space.pad)
    left, right = rect.left + pad, rect.right - pad
    baseline = top + (height + kind.points.height) // 2
    hair = px(page.style.strokes.hair)
    line = block(Rect(left, top, right, top + hair), colours.grid)
    points: tuple[Layer, ...] = ()
    if row.most:
        number, unit = page.number(row.most), "point" if row.most in ("1", "-1") else "points"
        right -= kind.points.width(number, unit)
        points = kind.points.layers(number, unit, right, baseline)
        right -= px(page.style.space.apart)
    better = row.better if kind.small.width(row.better) < (right - left) // 2 else ""
    away = kind.small.width(better) + px(page.style.space.apart) if better else 0
    label = fitted(kind.name, row.label, right - left - away)
    said = [line, kind.name.layer(label, left, baseline, colours.ink)]
    if better:
        x = left + kind.name.width(label) + px(page.style.space.apart)
        said.append(kind.small.layer(better, x, baseline, colours.quiet))
    return (Part(tuple(said), 0.0, 0.7), Part(points, 0.5, 1.0))


# The length along the rule


def _scale(content: TestCardContent, rect: Rect, kind: _Type) -> Scale:
    """Return the scale of the rule at the card's foot, room for its unit left of it."""
    page, px = kind.page, kind.page.px
    pad = px(page.style.space.pad)
    unit = page.face("strong", page.style.type.floor).width(content.length[2])
    return Scale(0.0, content.length[0], rect.left + pad + unit + px(24), rect.right - pad)


def _lane_height(kind: _Type) -> int:
    px = kind.page.px
    return kind.small.cap_height + px(_OVER) + px(_BAR) + px(_UNDER)


def _lanes(content: TestCardContent, scale: Scale, kind: _Type) -> list[_Lane]:
    """Give each window the lowest lane where neither its bar nor its label meets another."""
    px, most = kind.page.px, round(scale.end - scale.start)
    lanes: list[_Lane] = []
    taken: list[int] = []
    for window in content.windows:
        left, right = round(scale.at(window.start)), round(scale.at(window.end))
        if right - left < px(_MOMENT):
            left = min(max(left - px(_MOMENT) // 2, round(scale.start)), round(scale.end))
            right = left + px(_MOMENT)
        text = fitted(kind.small, window.label, most)
        label = min(left, round(scale.end) - kind.small.width(text))
        lane = next((i for i, end in enumerate(taken) if end < min(left, label)), len(taken))
        label_end = label + kind.small.width(text)
        taken[lane : lane + 1] = [max(right, label_end) + px(kind.page.style.space.apart)]
        lanes.append(_Lane(window, text, left, right, label, label_end, lane))
    return lanes


def _window(lane: _Lane, lanes: Sequence[_Lane], rect: Rect, kind: _Type) -> tuple[Part, ...]:
    """Draw a window's bar as long as it lasts, lines from its ends down to the rule, its label."""
    page, colours, px = kind.page, kind.page.colours, kind.page.px
    rule, high = rect.bottom - px(FOOT), _lane_height(kind)
    bottom = rule - lane.lane * high
    top, hair = bottom - px(_BAR), px(page.style.strokes.hair)
    parts = [Part((block(Rect(lane.left, top, lane.right, bottom), colours.ink),), 0.0, 0.6)]
    moment = lane.window.start == lane.window.end
    ends = ((lane.left + lane.right - hair) // 2,) if moment else (lane.left, lane.right - hair)
    # A line from either end down to the rule, but not through what stands in a lower lane.
    lines = [
        block(Rect(x, rule - (at + 1) * high, x + hair, rule - at * high), colours.line)
        for x in ends
        for at in range(lane.lane)
        if not any(other.lane == at and other.covers(x, px(8)) for other in lanes)
    ]
    label = kind.small.layer(lane.text, lane.label, top - px(_OVER), colours.quiet)
    return (*parts, Part((label,), 0.4, 1.0), *((Part(tuple(lines), 0.6, 1.0),) if lines else ()))
