"""Where everything in a score update goes: a line of columns, or a list of them.

One entry's row stands open. Those shown before it, and those to come, are closed to a line each
where there is room: the former above it, the latter below.
"""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.heading import heading
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.kinds._card import FOOT
from overlays.kinds._score_content import ScoreUpdateContent
from overlays.kinds._score_type import RowType

__all__ = ["BAR", "MINI_RULE", "Plan", "Spot", "plan_rows"]

# Heights in a style's lengths, common to both layouts.
BAR, MINI_RULE = 10, 16
# With many columns their type is set smaller, down to the last share; in a list, for the sake of
# closed lines, only down to another.
_SIZES = (1.0, 0.92, 0.84, 0.76, 0.68, 0.6, 0.52)
_LEAST_BESIDE = 0.76
# The least height of a line of the list, at full size.
_LINE, _WIDEST_LINE = 86, 118
# Height of a closed line.
_CLOSED = 60

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
    """A layout: the panel, and where everything in it goes with no closed line above the open row.

    Parameters
    ----------
    rect : Rect
        The panel.
    heading : tuple of Layer
        Its title and caption.
    name, note, old_score, place : (int, int)
        x and baseline of the entry's name and note, of the score before and of the rank.
    name_room, closed_room : int
        How wide a name may be, and one in a closed line.
    columns, total : Spot
        Of every column and of the score.
    px_per_point : float
        Of the columns' own rules.
    dividers : tuple of Rect
        Lines between columns that stay, over closed lines too.
    rows : tuple of Rect
        Lines between columns of the open row alone.
    band : Rect
        The entry's colour beside its row.
    open : Rect
        The open row.
    closed : int
        Height of a closed line.
    lines : int
        How many closed lines there are.
    """

    rect: Rect
    heading: tuple[Layer, ...]
    name: Place
    name_room: int
    closed_room: int
    note: Place
    columns: tuple[Spot, ...]
    total: Spot
    old_score: Place
    place: Place
    px_per_point: float
    dividers: tuple[Rect, ...]
    rows: tuple[Rect, ...]
    band: Rect
    open: Rect
    closed: int
    lines: int

    @property
    def wide(self) -> bool:
        """Whether columns stand beside one another, under labels that stay."""
        return self.total.left


def plan_rows(content: ScoreUpdateContent, page: Page) -> tuple[RowType, Plan]:
    """Lay a score update out: as many closed lines as fit, then the type as large as fits."""
    layouts = (_wide, _tall) if page.shape == "wide" else (_tall,)
    for lay in layouts:
        for lines in range(len(content.updates) - 1, -1, -1):
            for share in _SIZES:
                kind = RowType(content, page, share)
                plan, fits = lay(kind, lines)
                # Beside one another columns are as wide as they are, with closed lines or without.
                if fits and (share >= _LEAST_BESIDE or lay is _wide or not lines):
                    return kind, plan
    return kind, plan


def _wide(kind: RowType, lines: int) -> tuple[Plan, bool]:
    """Lay the row out as one line of columns, the score at its end."""
    page, style, content, px = kind.page, kind.page.style, kind.content, kind.page.px
    safe, pad, apart = page.graphics, px(style.space.pad), px(style.space.apart)
    inset = round(apart * 0.75 * kind.share)
    left, right = safe.left + pad, safe.right - pad
    name_room = min(kind.names_width(), px(330))
    last_left = right - max(kind.widest_total, kind.place_width(), kind.closed_width())
    first = left + name_room + apart
    count = len(content.last.columns)
    width = (last_left - inset - first) / max(1, count)
    lefts = [round(first + width * i) for i in range(count)]

    across = Rect(safe.left, 0, safe.right, 0)
    layers, below = heading(content.title, content.caption, across, page, left=left)
    label = below + kind.small.cap_height
    opens = label + px(20) if lines else below
    old = (opens if lines else label) + px(28) + kind.old.face.cap_height
    # Above the total stands its label, the score before, or the closed line above.
    over = (old + px(6) if kind.any_old else opens) if lines else label
    total = over + px(26) + kind.total.face.cap_height
    above = old + px(24) if kind.any_old else max(opens, label) + px(26)
    new = max(above + kind.new.height, total)
    bar = new + px(32)
    points = bar + px(BAR + MINI_RULE + 18) + kind.points.face.cap_height
    ends = points + px(24 if lines else 0)
    closed = px(_CLOSED)
    height = ends + lines * closed + px(12 if lines else 36) + px(BAR + FOOT)
    rect = Rect(safe.left, safe.bottom - height, safe.right, safe.bottom)
    top, label, opens, old, new, bar, points, ends = (
        rect.top + y for y in (below, label, opens, old, new, bar, points, ends)
    )

    def spot(x: int, room: int) -> Spot:
        return Spot((x, label), room, (x, old), (x, new), (x, points), (x, bar), left=True)

    hair = px(style.strokes.hair)
    most = max((abs(float(c.most)) for c in content.last.columns), default=1.0)
    beside = last_left + kind.small.width("points") + px(20)
    plan = Plan(
        rect=rect,
        heading=tuple(Layer(x.patch, x.left, x.top + rect.top) for x in layers),
        name=(left, new),
        name_room=name_room,
        closed_room=name_room,
        note=(left, new + kind.small.line + px(6)),
        columns=tuple(spot(x + inset, round(width) - inset - px(10)) for x in lefts),
        total=spot(last_left, right - last_left),
        old_score=(last_left, old) if lines else (beside, label),
        place=(last_left, points),
        band=Rect(rect.left, opens, rect.left + px(12), ends),
        px_per_point=(width - inset - px(22)) / most,
        dividers=tuple(
            Rect(x, top, x + hair, ends + lines * closed) for x in (*lefts, last_left - inset)
        ),
        rows=(),
        open=Rect(rect.left, opens, rect.right, ends),
        closed=closed,
        lines=lines,
    )
    fits = kind.column_width() <= width - inset - px(12) and rect.top >= safe.top
    return plan, fits


def _tall(kind: RowType, lines: int) -> tuple[Plan, bool]:
    """Lay the columns out as lines under one another, the score at the foot."""
    page, style, content, px = kind.page, kind.page.style, kind.content, kind.page.px
    safe, pad = page.graphics, px(style.space.pad)
    left, right = safe.left + pad, safe.right - pad
    across = Rect(safe.left, 0, safe.right, 0)
    layers, below = heading(content.title, content.caption, across, page, left=left)
    closed, opens = px(_CLOSED), below - px(26 if lines else 0)
    name = below + kind.name.cap_height
    rows_top, count = name + px(34), len(content.last.columns)
    total_height = kind.total.face.cap_height + px(52)
    foot = px(30 + BAR + FOOT)
    bottom = round(page.height * 0.84) if page.shape == "tall" else safe.bottom
    free = bottom - safe.top - rows_top - total_height - foot - lines * closed
    line = min(px(_WIDEST_LINE), free // max(1, count))
    ends = rows_top + line * count + total_height
    rect = Rect(safe.left, bottom - ends - lines * closed - foot, safe.right, bottom)
    top, total_top = rect.top + rows_top, rect.top + rows_top + line * count
    name, wide = name + rect.top, right - left
    points_right = right - px(8) - kind.ofs_width()
    labels = [kind.label.width(column.label) for column in content.last.columns]
    new_right = left + round(wide * 0.665)

    def spot(y: int) -> Spot:
        """Place a line whose upper edge is `y`."""
        middle = y + line // 2
        label = middle - px(6 * kind.share)
        return Spot(
            label=(left, label),
            room=px(320),
            old=(left + round(wide * 0.475), middle + kind.old.face.cap_height // 2),
            new=(new_right, middle + kind.new.height // 2),
            points=(points_right, middle + kind.points.face.cap_height // 2),
            bar=(left, label + px(14 * kind.share)),
            left=False,
        )

    total = total_top + total_height // 2 + kind.total.face.cap_height // 2
    at = (new_right, total)
    hair = px(style.strokes.hair)
    edges = [top + line * i for i in range(count + 1)]
    most = max((abs(float(c.most)) for c in content.last.columns), default=1.0)
    cap = kind.name.cap_height
    plan = Plan(
        rect=rect,
        heading=tuple(Layer(x.patch, x.left, x.top + rect.top) for x in layers),
        name=(left, name),
        name_room=right - left,
        closed_room=new_right - kind.closed_total.width("0") * 5 - px(24) - left,
        note=(left, name),
        columns=tuple(spot(y) for y in edges[:-1]),
        total=Spot((left, total), max(labels, default=0), at, at, at, at, left=False),
        old_score=(left + kind.small.width("points") + px(20), total),
        place=(right - kind.place_width(), total),
        band=Rect(rect.left, name - cap - px(6), rect.left + px(12), name + px(6)),
        px_per_point=px(300) / most,
        dividers=(),
        rows=tuple(Rect(left, y, right, y + hair) for y in edges),
        open=Rect(rect.left, rect.top + opens, rect.right, rect.top + ends),
        closed=closed,
        lines=lines,
    )
    return plan, line >= px(_LINE * kind.share)
