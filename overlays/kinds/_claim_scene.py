"""Claims laid out: a rule as long as what is claimed, along it a bar of what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.axis import Scale, Ticks
from overlays.draw.heading import heading
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.draw.value import Value
from overlays.kinds._card import FOOT, bar, numbered, room, stand, ticks_for
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["ClaimContent", "ClaimRow", "claim_scene"]


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """What is claimed of one entry, and what was measured.

    Parameters
    ----------
    name : str
        The entry's.
    colour : int
        The entry's place in the session.
    claimed, measured : float or None
        In the figure's unit; None where nothing is claimed, or nothing measured.
    claimed_text, measured_text : str
        As written; a dash where there is none.
    percent : str
        Measured of claimed, as written, without sign; a dash where there is none.
    note : str
        What must be said beside it: fewer repeats than planned, or why something is missing.
    """

    name: str
    colour: int
    claimed: float | None
    measured: float | None
    claimed_text: str
    measured_text: str
    percent: str
    note: str


@dataclass(frozen=True, slots=True)
class ClaimContent(Content):
    """What a claim shows.

    Parameters
    ----------
    title : str
        The figure, unless the cue says otherwise.
    caption : tuple of str
        What is set against what, and how it was measured.
    unit : str
        Of what is measured and claimed, as set on screen.
    rows : tuple of ClaimRow
        In the order of the cue.
    """

    title: str
    caption: tuple[str, ...]
    unit: str
    rows: tuple[ClaimRow, ...]

    @property
    def values(self) -> tuple[str, ...]:
        """The percentages."""
        return tuple(row.percent for row in self.rows if None not in (row.claimed, row.measured))


# Heights of a row: at most; from where on rules are numbered, and lines run between rows.
_MOST, _NUMBERED, _AIRY = 168, 112, 84
_RULE, _MARK = 18, 10


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the parts of the rows go; `baseline`, `said` and `bar` count from a row's upper edge.

    `percent` is where percentages end, `long` where the longest rule or bar does.
    """

    rect: Rect
    top: int
    height: int
    name: int
    name_room: int
    percent: int
    baseline: int
    said: int
    bar: int
    thick: int
    rule: int
    start: int
    end: int
    scale: Scale


class _Type:
    """The faces of a claim, larger where rows are high."""

    def __init__(self, page: Page, height: int) -> None:
        sizes, colours = page.style.type, page.colours
        self.page = page
        self.name = page.face("strong", sizes.body if height >= page.px(_AIRY) else sizes.small)
        self.small = page.face("text", sizes.small)
        size = sizes.figure if height >= page.px(_NUMBERED) else 1.25 * sizes.value
        unit = page.face("strong", sizes.small)
        self.percent = Value(page.face("loud", size), unit, colours.ink, colours.quiet)


def claim_scene(content: ClaimContent, stage: Stage, style: Style) -> RowsScene:
    """Draw claims."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    space = room(page)
    left = space.left + page.px(style.space.pad)
    above = Rect(space.left, 0, space.right, 0)
    _, top = heading(content.title, content.caption, above, page, left=left)
    free = space.bottom - space.top - top - page.px(24)
    height = min(page.px(_MOST), free // len(content.rows))
    kind = _Type(page, height)
    grid = _grid(content, kind, top, height)
    title, _ = heading(content.title, content.caption, grid.rect, page, left=left)
    drawn = [_row(row, content, i, grid, kind) for i, row in enumerate(content.rows)]
    return RowsScene(
        stage,
        style,
        rect=grid.rect,
        plate=(panel(grid.rect, page), *title),
        ruled=[layer for standing, _ in drawn for layer in standing],
        rows=[parts for _, parts in drawn],
        step=2.5,
    )


def _grid(content: ClaimContent, kind: _Type, top: int, height: int) -> _Grid:
    page, px, space, rows = kind.page, kind.page.px, room(kind.page), content.rows
    left, right = space.left + px(page.style.space.pad), space.right - px(page.style.space.pad)
    below = px(24)
    texts = [page.number(row.percent) for row in rows]
    percent = max(kind.percent.width(text, "%") for text in texts)
    wanted = max(max(kind.name.width(row.name), kind.small.width(_said(row, content, page)))
                 for row in rows)  # fmt: skip
    name_room = min(wanted, (right - left - percent) * 45 // 100)
    start, end = left + name_room + px(34), right - percent - px(34)
    thick, rule = px(22), px(FOOT if height >= px(_NUMBERED) else _RULE)
    line = round(1.1 * kind.small.size) if height < px(_AIRY) else kind.small.line
    text = kind.name.cap_height + line
    baseline = (height - text) // 2 + kind.name.cap_height
    most = max([1e-12, *(v for row in rows for v in (row.claimed, row.measured) if v is not None)])
    rect = stand(page, top + height * len(rows) + below)
    return _Grid(
        rect=rect,
        top=rect.top + top,
        height=height,
        name=left,
        name_room=name_room,
        percent=right,
        baseline=baseline,
        said=baseline + line,
        bar=(height - thick - rule) // 2,
        thick=thick,
        rule=rule,
        start=start,
        end=end,
        scale=Scale(0.0, most, start, end),
    )  # fmt: skip


def _said(row: ClaimRow, content: ClaimContent, page: Page) -> str:
    """Return the quiet line under a name: what was measured, of what."""
    if row.claimed is None or row.measured is None:
        return row.note
    measured, claimed = page.number(row.measured_text), page.number(row.claimed_text)
    text = f"{measured} of {claimed}\N{NO-BREAK SPACE}{content.unit}".rstrip()
    return f"{text}, {row.note}" if row.note else text


def _row(
    row: ClaimRow, content: ClaimContent, index: int, grid: _Grid, kind: _Type
) -> tuple[tuple[Layer, ...], Sequence[Part]]:
    """Return what stands from the start, name and rule, and what then comes."""
    page, colours = kind.page, kind.page.colours
    top, hair = grid.top + index * grid.height, page.px(page.style.strokes.hair)
    name = fitted(kind.name, row.name, grid.name_room)
    standing = [kind.name.layer(name, grid.name, top + grid.baseline, colours.ink)]
    if index and grid.height >= page.px(_AIRY):
        line = Rect(grid.name, top - hair, grid.percent, top)
        standing.append(block(line, colours.grid))
    under = top + grid.bar + grid.thick
    over: tuple[Layer, ...] = ()
    if row.claimed is not None and row.claimed > 0:
        end = round(grid.scale.at(row.claimed))
        body = Rect(grid.start, under, end, under + grid.rule)
        # One step for all rows, or the same length would be ruled in different ways.
        step = ticks_for(0.0, grid.scale.high, grid.end - grid.start, page)
        ticks = Ticks(step.step, tuple(t for t in step.numbered if t <= row.claimed))
        own = Scale(0.0, row.claimed, grid.start, end)
        if grid.rule >= page.px(FOOT):
            standing += numbered(body, own, ticks, page)
        else:
            standing += [strip(body, page), engraved(body, "top", own, ticks, page)]
        mark = Rect(end - hair, top + grid.bar - page.px(_MARK), end, under)
        standing.append(block(mark, colours.ink))
        over = (block(Rect(mark.left, top + grid.bar, end, under), colours.on_entry),)
    said = fitted(kind.small, _said(row, content, page), grid.name_room)
    parts = [Part((kind.small.layer(said, grid.name, top + grid.said, colours.quiet),), 0.0, 0.35)]
    if row.measured is not None:
        rect = bar(grid.scale, 0.0, max(0.0, row.measured), top + grid.bar, grid.thick)
        # Where more was measured than claimed, the mark shows through the bar.
        over = over if rect.right > grid.scale.at(row.claimed or 0.0) + hair else ()
        parts.append(Part((block(rect, colours.entry(row.colour)), *over), 0.25, 0.8))
    text = page.number(row.percent)
    has = row.claimed is not None and row.measured is not None
    unit = "%" if has else ""
    x = grid.percent - kind.percent.width(text, "%")
    baseline = top + (grid.height + kind.percent.height) // 2
    parts.append(Part(kind.percent.layers(text, unit, x, baseline), 0.65, 1.0))
    return tuple(standing), parts
