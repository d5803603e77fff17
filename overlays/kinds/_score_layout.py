"""Where everything in a score row goes: a line of columns, or a list of them."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.heading import heading
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.value import Value
from overlays.kinds._score_content import Column, ScoreUpdateContent
from overlays.numbers import fixed

__all__ = ["BAR", "MINI_RULE", "TOTAL_RULE", "Plan", "RowType", "Spot", "plan_row"]

# Heights in a style's lengths, common to both layouts.
BAR, MINI_RULE, TOTAL_RULE = 10, 16, 44
# With many columns their type is set smaller, down to this share.
_SIZES = (1.0, 0.92, 0.84, 0.76, 0.68, 0.6, 0.52)
# The least height of a line of the list, at full size.
_LINE, _WIDEST_LINE = 86, 118

Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the parts of a column go, in canvas pixels: x and baseline of each.

    `left` says whether numbers begin at their x, or end there; `room` is how wide the label may be.
    """

    label: Place
    room: int
    old: Place
    new: Place
    points: Place
    bar: Place
    left: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """A layout: the panel, and where everything in it goes."""

    rect: Rect
    heading: tuple[Layer, ...]
    name: Place
    name_room: int
    note: Place
    columns: tuple[Spot, ...]
    total: Spot
    place: Place
    px_per_point: float
    dividers: tuple[Rect, ...]
    band: Rect


class RowType:
    """The faces of a score row, and what its texts need.

    Parameters
    ----------
    content : ScoreUpdateContent
        What is set.
    page : Page
        Where.
    share : float
        Size of the columns' type against its full size.
    """

    def __init__(self, content: ScoreUpdateContent, page: Page, share: float = 1.0) -> None:
        colours, sizes = page.colours, page.style.type
        self.page, self.content, self.share = page, content, share
        self.colour = colours.entry(content.colour)
        self.name = page.face("loud", sizes.title)
        self.small = page.face("text", sizes.small)
        self.label = page.face("text", sizes.small * share)
        unit = page.face("strong", sizes.small * share)
        self.old = Numerals(page.face("strong", sizes.body * share), colours.quiet)
        self.points = Numerals(page.face("loud", sizes.body * share), self.colour)
        self.taken = Numerals(self.points.face, colours.strike)
        large = page.face("loud", sizes.value * 1.4 * share)
        self.new = Value(large, unit, colours.ink, colours.quiet)
        # Without an old score above it, the total stands closer to its label.
        self.total = Numerals(
            page.face("loud", sizes.total if self.any_old else sizes.figure), colours.ink
        )
        self.place = Numerals(page.face("loud", sizes.title), colours.ink)
        self.old_place = Numerals(page.face("strong", sizes.body), colours.quiet)

    @property
    def any_old(self) -> bool:
        """Whether anything was there before."""
        content = self.content
        return content.old_score is not None or any(c.old is not None for c in content.columns)

    @property
    def widest_total(self) -> int:
        """Width of the highest total there can be."""
        return self.total.width(self.page.number(fixed(self.content.most, self.content.places)))

    def value(self, column: Column) -> str:
        """Return a column's new value as set."""
        return "–" if column.new is None else self.page.number(column.new)

    def of(self, column: Column) -> str:
        """Return what could be had, as set beside the points."""
        return f"of {self.page.number(f'{column.most.normalize():f}')}"

    def place_width(self) -> int:
        """Return how wide the rank is, the old one struck beside it."""
        content, px = self.content, self.page.px
        old = self.old_place.width(str(content.old_rank)) + px(22) if content.old_rank else 0
        new = self.place.width(str(content.rank or 0)) + px(8)
        return old + new + self.small.width(f"of {content.of}")

    def column_width(self) -> int:
        """Return how wide the widest column's texts are."""
        px, widest = self.page.px, 1
        for column in self.content.columns:
            points = self.page.number(fixed(column.most, column.places))
            widest = max(
                widest,
                self.new.width(self.value(column), column.unit),
                self.points.width(points) + px(8) + self.label.width(self.of(column)),
            )
        return widest


def plan_row(content: ScoreUpdateContent, page: Page) -> tuple[RowType, Plan]:
    """Lay a score row out, its columns' type as large as fits; a list where no line does."""
    layouts = (_wide, _tall) if page.shape == "wide" else (_tall,)
    choices = ((lay, share) for lay in layouts for share in _SIZES)
    for lay, share in choices:
        kind = RowType(content, page, share)
        plan, fits = lay(kind)
        if fits:
            break
    return kind, plan


def _wide(kind: RowType) -> tuple[Plan, bool]:
    """Lay the row out as one line of columns, the score at its end."""
    page, style, content, px = kind.page, kind.page.style, kind.content, kind.page.px
    safe, pad, apart = page.graphics, px(style.space.pad), px(style.space.apart)
    inset = round(apart * 0.75 * kind.share)
    left, right = safe.left + pad, safe.right - pad
    name_room = min(max(kind.name.width(content.name), kind.small.width(content.note)), px(330))
    last_left = right - max(kind.widest_total, kind.place_width())
    first = left + name_room + apart
    width = (last_left - inset - first) / max(1, len(content.columns))
    lefts = [round(first + width * i) for i in range(len(content.columns))]

    across = Rect(safe.left, 0, safe.right, 0)
    layers, below = heading(content.title, content.caption, across, page, left=left)
    label = below + kind.small.cap_height
    old = label + px(20) + kind.old.face.cap_height
    new = max(
        (old + px(24) if kind.any_old else label + px(26)) + kind.new.height,
        label + px(26) + kind.total.face.cap_height,
    )
    bar = new + px(32)
    points = bar + px(BAR + MINI_RULE + 18) + kind.points.face.cap_height
    height = points + px(36 + BAR + TOTAL_RULE)
    rect = Rect(safe.left, safe.bottom - height, safe.right, safe.bottom)
    top = rect.top + below
    label, old, new, bar, points = (rect.top + y for y in (label, old, new, bar, points))

    def spot(x: int, room: int) -> Spot:
        return Spot((x, label), room, (x, old), (x, new), (x, points), (x, bar), left=True)

    hair = px(style.strokes.hair)
    most = max((abs(float(c.most)) for c in content.columns), default=1.0)
    plan = Plan(
        rect=rect,
        heading=tuple(Layer(x.patch, x.left, x.top + rect.top) for x in layers),
        name=(left, new),
        name_room=name_room,
        note=(left, new + kind.small.line + px(6)),
        columns=tuple(spot(x + inset, round(width) - inset - px(10)) for x in lefts),
        total=spot(last_left, right - last_left),
        place=(last_left, points),
        band=Rect(rect.left, top, rect.left + px(12), points),
        px_per_point=(width - inset - px(22)) / most,
        dividers=tuple(Rect(x, top, x + hair, points) for x in (*lefts, last_left - inset)),
    )
    return plan, kind.column_width() <= width - inset - px(12)


def _tall(kind: RowType) -> tuple[Plan, bool]:
    """Lay the columns out as lines under one another, the score at the foot."""
    page, style, content, px = kind.page, kind.page.style, kind.content, kind.page.px
    safe, pad = page.graphics, px(style.space.pad)
    left, right = safe.left + pad, safe.right - pad
    across = Rect(safe.left, 0, safe.right, 0)
    layers, below = heading(content.title, content.caption, across, page, left=left)
    name = below + kind.name.cap_height
    name_room = right - left - px(22) - kind.small.width(content.note)
    rows_top, count = name + px(34), len(content.columns)
    total_height = kind.total.face.cap_height + px(52)
    foot = total_height + px(30 + BAR + TOTAL_RULE)
    bottom = round(page.height * 0.84) if page.shape == "tall" else safe.bottom
    line = min(px(_WIDEST_LINE), (bottom - safe.top - rows_top - foot) // max(1, count))
    height = rows_top + line * count + foot
    rect = Rect(safe.left, bottom - height, safe.right, bottom)
    top, total_top = rect.top + rows_top, rect.top + rows_top + line * count
    name += rect.top
    wide = right - left
    points_right = right - px(8)
    points_right -= max(
        (kind.label.width(kind.of(column)) for column in content.columns), default=0
    )

    def spot(y: int) -> Spot:
        """Place a line whose upper edge is `y`."""
        middle = y + line // 2
        label = middle - px(6 * kind.share)
        return Spot(
            label=(left, label),
            room=px(320),
            old=(left + round(wide * 0.475), middle + kind.old.face.cap_height // 2),
            new=(left + round(wide * 0.665), middle + kind.new.height // 2),
            points=(points_right, middle + kind.points.face.cap_height // 2),
            bar=(left, label + px(14 * kind.share)),
            left=False,
        )

    total = total_top + total_height // 2 + kind.total.face.cap_height // 2
    at = (left + round(wide * 0.665), total)
    hair = px(style.strokes.hair)
    lines = [top + line * i for i in range(count + 1)]
    most = max((abs(float(c.most)) for c in content.columns), default=1.0)
    plan = Plan(
        rect=rect,
        heading=tuple(Layer(x.patch, x.left, x.top + rect.top) for x in layers),
        name=(left, name),
        name_room=name_room,
        note=(left + min(name_room, kind.name.width(content.name)) + px(22), name),
        columns=tuple(spot(y) for y in lines[:-1]),
        total=Spot((left, total), px(200), at, at, at, at, left=False),
        place=(right - kind.place_width(), total),
        band=Rect(rect.left, name - kind.name.cap_height - px(6), rect.left + px(12), name + px(6)),
        px_per_point=px(300) / most,
        dividers=tuple(Rect(left, y, right, y + hair) for y in lines),
    )
    return plan, line >= px(_LINE * kind.share)
