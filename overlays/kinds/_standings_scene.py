"""The frames of a table of standings, in which one row travels at a time."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from overlays.draw.heading import heading
from overlays.draw.motion import Move, staged, wiped
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect, through
from overlays.draw.sheet import block
from overlays.kinds._card import FOOT, foot, lines, moved, room, tinted
from overlays.kinds._table import StandingsContent, acts
from overlays.kinds._table_rows import DrawnRow, RowType, drawn_row, grid
from overlays.kinds._travel import order_after, places
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["StandingsScene"]


class StandingsScene:
    """The frames of a table of standings."""

    def __init__(self, content: StandingsContent, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._content = content
        self._page = Page(stage.width, stage.height, style, stage.decimal_mark)
        self._kind = RowType(self._page)
        self._lay_plate()
        there = set(content.before)
        self._rows = [
            drawn_row(row, self._grid, self._kind, is_new=index not in there)
            for index, row in enumerate(content.rows)
        ]
        self._steps = content.steps
        self._orders = [content.before]
        for step in self._steps:
            self._orders.append(order_after(self._orders[-1], step))
        self._acts = tuple(acts(content, self._grid.shown, style.motion))
        hold = min(stage.frames // 4, round(1.5 * float(stage.rate)))
        self._moves = staged(
            [act.seconds for act in self._acts], stage.rate, max(1, stage.frames - hold)
        )
        self._firsts = [move.first for move in self._moves]
        self._read_acts()
        self._numbers = self._count()
        self._labels = {
            rank: self._kind.rank.layer(str(rank), self._grid.rank, self._grid.baseline)
            for numbers in self._numbers
            for rank in numbers
            if rank is not None
        }

    @property
    def stops(self) -> tuple[int, ...]:
        """Frames to be seen even where nothing slides: the table as it was, each journey made."""
        marked = set(self._content.travellers)
        made = [
            move.end - 1
            for act, move in zip(self._acts, self._moves, strict=True)
            if act.kind == "move" and self._steps[act.step].row in marked
        ]
        return (self._moves[1].end - 1, *made)

    # Laying out

    def _lay_plate(self) -> None:
        content, page = self._content, self._page
        pad, space = page.px(page.style.space.pad), room(page)
        above = Rect(space.left, 0, space.right, 0)
        caption = content.caption
        _, top = heading(content.title, caption, above, page, left=space.left + pad)
        place = grid(content, self._kind, top)
        if place.shown < len(content.rows):
            caption = (*caption, f"{place.shown} of {len(content.rows)} rows")
        title, _ = heading(content.title, caption, place.rect, page, left=space.left + pad)
        ruled = foot(place.rect, place.scale, place.ticks, page, says="points")
        hair = page.px(page.style.strokes.hair)
        rows = [
            Rect(space.left + pad, place.y(i, 0) - hair, space.right - pad, place.y(i, 0))
            for i in range(1, place.shown)
        ]
        below = place.rect.bottom - page.px(FOOT)
        top = place.area.bottom if place.stacked else place.top
        area = Rect(round(place.scale.start), top, round(place.scale.end), below)
        self._grid = place
        self._plate = (panel(place.rect, page), *ruled, *title)
        self._cover = tinted(Rect(place.rect.left, 0, place.rect.right, place.height), None, page)
        self._ruled = (
            lines(area, place.scale, place.ticks, page),
            *(block(rect, page.colours.grid) for rect in rows),
        )

    def _read_acts(self) -> None:
        """Note when each row is struck or comes, is scored, and leaves; and when journeys are."""
        self._first: dict[int, Move] = {}
        self._scored: dict[int, Move] = {}
        self._leaves: dict[int, Move] = {}
        self._travels: list[Move] = []
        self._settles = Move(self._moves[-1].end - 1, 1)
        # The third act is the first that changes anything.
        self._changes = self._moves[2].first if len(self._moves) > 2 else self.frames
        for act, move in zip(self._acts, self._moves, strict=True):
            if act.kind == "points":
                self._scored |= dict.fromkeys(self._content.rescored, move)
            elif act.kind == "score":
                row = self._steps[act.step].row
                first = Move(move.first, max(1, move.frames * 2 // 5))
                self._scored[row] = Move(first.end, max(1, move.end - first.end))
                self._first[row] = first
            elif act.kind == "move":
                self._travels.append(move)
                self._leaves[self._steps[act.step].row] = Move(move.first, max(1, move.frames // 3))
            elif act.kind == "ranks":
                self._settles = move

    def _count(self) -> tuple[tuple[int | None, ...], ...]:
        """Return the numbers of the places: before anything changes, and with each journey made.

        A row that is about to arrive already has its place below the others.
        """
        content = self._content
        now = set(range(len(content.rows))) - set(content.travellers)
        found = [content.numbers(content.before, ())]
        for order, step in zip_longest(self._orders, self._steps):
            rows = (*order, step.row) if step is not None and step.arrives else order
            arriving = {step.row} if step is not None and step.arrives else set()
            found.append(content.numbers(rows, now | arriving))
            now |= {step.row} if step is not None else set()
        return tuple(found)

    # Frames

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, moves = self._grid.rect, self._moves
        shown = rect.left + moves[0].grown(frame, rect.right - rect.left)
        layers = [through(layer, Rect(0, 0, shown, self.height)) for layer in self._plate]
        if frame >= moves[1].first:
            along = rect.left + moves[1].grown(frame, rect.right - rect.left)
            window = Rect(0, 0, along, self.height)
            layers += [through(layer, window) for layer in (*self._ruled, *self._table(frame))]
        return layers

    def _begun(self, frame: int) -> int:
        """Return how many journeys have begun at a frame."""
        return bisect_right(self._travels, frame, key=lambda move: move.first)

    def places_at(self, frame: int) -> dict[int, float]:
        """Return the place of every row there is at a frame, counted from 0."""
        begun = self._begun(frame)
        if begun:
            share = _calm(self._travels[begun - 1].progress(frame))
            found = dict(places(self._orders[begun - 1], self._steps[begun - 1], share))
        else:
            found = dict(places(self._orders[0], None, 0.0))
        for step in self._steps[begun:]:
            if step.arrives and self._first[step.row].first <= frame:
                found[step.row] = float(step.start)
        return found

    def pages_at(self, frame: int) -> list[tuple[float, Rect]]:
        """Return the pages in view, each by its topmost place, and where: two as one is turned."""
        index, area = bisect_right(self._firsts, frame) - 1, self._grid.area
        before, after = self._acts[index].view
        if self._acts[index].kind == "slide":
            share = _calm(self._moves[index].progress(frame))
            return [(before + (after - before) * share, area)]
        along = area.left + self._moves[index].grown(frame, area.right - area.left)
        if before == after or along >= area.right:
            return [(after, area)]
        return [
            (before, Rect(along, area.top, area.right, area.bottom)),
            (after, Rect(area.left, area.top, along, area.bottom)),
        ]

    def _table(self, frame: int) -> Iterator[Layer]:
        """Yield the layers of every page in view."""
        for page in self.pages_at(frame):
            yield from self._page_of_rows(frame, page)

    def _page_of_rows(self, frame: int, page: tuple[float, Rect]) -> Iterator[Layer]:
        """Yield the rows, the one that travels last, and the numbers of the places over them."""
        begun, found, rows = self._begun(frame), self.places_at(frame), self._content.rows
        travelling = self._steps[begun - 1].row if begun else -1
        for row in sorted(found, key=lambda row: (row == travelling, rows[row].marked, row)):
            layers = self._row(row, frame)
            if row == travelling and not rows[row].marked:
                layers.insert(0, self._ground(self._travels[begun - 1].progress(frame)))
            yield from self._placed(layers, found[row], page)
        for index, rank in enumerate(self.numbers_at(frame)):
            if rank is not None:
                yield from self._placed((self._labels[rank],), index, page)

    def _placed(
        self, layers: Sequence[Layer], index: float, page: tuple[float, Rect]
    ) -> Iterator[Layer]:
        """Put layers at a place of the table, as far as that is on a page."""
        place, (view, window) = self._grid, page
        y = place.y(index, view)
        if place.top - place.height < y < place.area.bottom:
            for layer in layers:
                yield through(moved(layer, 0, y), window)

    def numbers_at(self, frame: int) -> tuple[int | None, ...]:
        """Return the numbers of the places at a frame, from the topmost of the table down."""
        if frame < self._changes:
            return self._numbers[0]
        made = sum(1 for move in self._travels if move.end <= frame + 1)
        return self._numbers[1 + made][: len(self.places_at(frame))]

    def _ground(self, progress: float) -> Layer:
        """Let a row that travels without a colour cover what it passes, softly at both ends."""
        share = min(1.0, 6 * min(progress, 1 - progress))
        layer = self._cover
        return Layer(layer.patch, layer.left, layer.top, None, round(255 * share))

    def _row(self, index: int, frame: int) -> list[Layer]:
        """Return a row's layers at the canvas' upper edge."""
        row, drawn = self._content.rows[index], self._rows[index]
        scored, first = self._scored.get(index), self._first.get(index)
        is_new = index not in self._content.before
        layers = [drawn.base] if first is None or not is_new else wiped((drawn.base,), first, frame)
        if scored is None:
            layers += drawn.now
        elif not row.marked:
            layers += _swapped(drawn, scored, frame)
        else:
            layers += drawn.before
            if first is not None and drawn.strike and frame >= first.first:
                layers += wiped(drawn.strike, first, frame)
            if frame >= scored.first:
                layers += [part for layer in drawn.now for part in wiped((layer,), scored, frame)]
        return layers + self._was(index, frame)

    def _was(self, index: int, frame: int) -> list[Layer]:
        """Show the place a row had: of a marked one as it leaves it, of the others at the end."""
        marked = self._content.rows[index].marked
        move = self._leaves.get(index, self._settles) if marked else self._settles
        was = self._rows[index].was
        return wiped(was, move, frame) if was and frame >= move.first else []


def _swapped(drawn: DrawnRow, move: Move, frame: int) -> list[Layer]:
    """Let what is now come over what was, from the left, score and bar apart."""
    if frame < move.first:
        return list(drawn.before)
    layers: list[Layer] = []
    for old, new in zip_longest(drawn.before, drawn.now):
        pair = [layer for layer in (old, new) if layer is not None]
        area = pair[0].covers.join(pair[-1].covers)
        along = area.left + move.grown(frame, area.right - area.left)
        if old is not None:
            layers.append(through(old, Rect(along, area.top, area.right, area.bottom)))
        if new is not None:
            layers.append(through(new, Rect(area.left, area.top, along, area.bottom)))
    return [layer for layer in layers if not layer.covers.empty]


def _calm(progress: float) -> float:
    """Return progress 0 to 1 that starts and ends softly, as something heavy is pushed."""
    return progress * progress * (3 - 2 * progress)
