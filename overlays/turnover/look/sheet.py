"""A look at every run as one tall picture, two places side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import RenderError
from overlays.progress import Progress, silent
from overlays.turnover.look.lanes import MEASURED, ZERO
from overlays.turnover.look.lettering import Lettering
from overlays.turnover.look.paper import BAD, CARE, INK, QUIET, RULE, Paper
from overlays.turnover.look.plot import RUN_COLOURS, colour_of, draw_plot, plot_height
from overlays.turnover.look.seen import SeenRun
from overlays.turnover.look.story import LEGEND, RULES, PlaceStory, Story, TestStory
from overlays.turnover.look.table import run_remark
from overlays.turnover.look.words import LEADS

__all__ = ["write_run_look_sheet"]

_SCALE = 1.75
_TALLEST = 30_000
_MARGIN, _GUTTER, _CELL = 32, 36, 480
_WIDTH = 2 * _MARGIN + 2 * _CELL + _GUTTER
_WHOLE = _WIDTH - 2 * _MARGIN
_LEAD = 58
_BODY, _STRONG = Lettering(12), Lettering(12, 700)
_RUNS_A_ROW = 6
_RUN_WIDTH, _SPREAD_WIDTH = 48, 50
_STROKES = {"median": 3.0, "gap": 4.0}
_COLOURS = {"flag": CARE, "left out": BAD}

Draw = Callable[[Paper, int, int], None]


@dataclass(frozen=True, slots=True)
class _Piece:
    """Something on the sheet: how tall it is, and how it is drawn with its corner at a place."""

    height: int
    draw: Draw


def write_run_look_sheet(story: Story, target: Path, *, progress: Progress = silent) -> None:
    """Write the sheet as a PNG.

    Parameters
    ----------
    story : Story
        What is told.
    target : Path
        The file; it may be left half-written if this fails.
    progress : Progress
        Told after each picture.

    Raises
    ------
    RenderError
        If there are so many runs that the picture would be too tall to look at.
    """
    pieces = list(_pieces(story))
    height = 2 * _MARGIN + sum(piece.height for piece in pieces)
    if height > _TALLEST:
        raise RenderError(
            f"a picture of all runs would be {round(height * _SCALE)} pixels tall; at most "
            f"{round(_TALLEST * _SCALE)} can be looked at.",
            code="too-tall",
            remedy="Write it as .html.",
        )
    paper = Paper(_WIDTH, height)
    top = _MARGIN
    for done, piece in enumerate(pieces, start=1):
        piece.draw(paper, _MARGIN, top)
        top += piece.height
        progress(done, len(pieces), "rows")
    paper.write_png(target, scale=_SCALE)


def _pieces(story: Story) -> Iterator[_Piece]:
    yield _text(f"Every run: {story.title}", Lettering(28, 700), _WHOLE)
    yield _text(f"{story.where} · {story.count}", Lettering(13), _WHOLE, QUIET)
    yield _rule(INK, 3)
    yield _gap(6)
    flags = list(story.flags())
    for place, texts in flags:
        yield _text(story.name_of(place), _STRONG, _WHOLE)
        yield from (_worded("flag", text, _WHOLE) for text in texts)
        yield _gap(4)
    if not flags:
        yield _text("Nothing is flagged. Look at the pictures all the same.", _STRONG, _WHOLE)
    yield _gap(14)
    for start in range(0, len(LEGEND), 2):
        yield _beside([_legend(*item) for item in LEGEND[start : start + 2]])
    yield _gap(6)
    yield _text(RULES, _BODY, _WHOLE)
    for test in story.tests:
        yield from _test(story, test)


def _test(story: Story, test: TestStory) -> Iterator[_Piece]:
    label = story.results.session.spec.tests[test.view.test].label
    yield _gap(26)
    yield _text(label, Lettering(20, 700), _WHOLE)
    yield _rule(INK, 1)
    for line in test.lines:
        yield _text(line, _BODY, _WHOLE, QUIET)
    for start in range(0, len(test.places), 2):
        cells = [_cell(story, told) for told in test.places[start : start + 2]]
        yield _gap(14)
        yield _beside(cells)


def _cell(story: Story, told: PlaceStory) -> _Piece:
    place = told.place
    label = story.results.session.spec.entries[place.entry].label
    pieces = [_text(f"{label} · {story.state_of(place)}", Lettering(15, 700), _CELL), _gap(4)]
    if place.runs:
        pieces.append(_plot(story, told))
        starts = range(0, len(place.runs), _RUNS_A_ROW)
        pieces += [_table(told, slice(start, start + _RUNS_A_ROW)) for start in starts]
    pieces += [_worded(word.kind, word.text, _CELL) for word in told.words]
    return _stacked(pieces)


def _plot(story: Story, told: PlaceStory) -> _Piece:
    mark = story.results.session.spec.episode.decimal_mark

    def draw(paper: Paper, left: int, top: int) -> None:
        draw_plot(paper, told.view, told.place, left=left, top=top, width=_CELL, decimal_mark=mark)

    return _Piece(plot_height(told.view, _CELL) + 6, draw)


def _table(told: PlaceStory, some: slice) -> _Piece:
    runs = told.place.runs[some]
    line = _BODY.line + 2

    def draw(paper: Paper, left: int, top: int) -> None:
        right = left + _CELL - _SPREAD_WIDTH
        ends = [right - _RUN_WIDTH * (len(runs) - 1 - i) for i in range(len(runs))]
        for seen, end in zip(runs, ends, strict=True):
            _run_head(paper, seen, end, top)
        paper.text(left + _CELL, top + 20, "spread", _BODY, QUIET, align="right")
        room = ends[0] - _RUN_WIDTH - left
        for number, row in enumerate(told.rows):
            y = top + 38 + line * number
            letters = _STRONG if row.main else _BODY
            paper.line([(left, y), (left + _CELL, y)], RULE, 0.7)
            y += _BODY.line
            name = f"{row.label}, {row.unit}" if row.unit else row.label
            paper.text(left, y, letters.fitted(name, room), letters)
            for cell, end in zip(row.cells[some], ends, strict=True):
                paper.text(end, y, cell, letters, align="right")
            paper.text(left + _CELL, y, row.spread, letters, align="right")

    return _Piece(38 + line * len(told.rows) + 10, draw)


def _run_head(paper: Paper, seen: SeenRun, end: int, top: int) -> None:
    remark = run_remark(seen)
    if seen.run is not None:
        dashes = () if seen.ref.use else (4.0, 2.5)
        points = [(end - 34.0, top + 4.0), (end + 0.0, top + 4.0)]
        paper.line(points, colour_of(seen), 3.5 if seen.median else 1.3, dashes=dashes)
    paper.text(end, top + 20, seen.name, _STRONG, align="right")
    paper.text(end, top + 33, remark, Lettering(11), QUIET, align="right")


def _legend(kind: str, text: str) -> _Piece:
    words = _text(text, _BODY, _CELL - _LEAD)

    def draw(paper: Paper, left: int, top: int) -> None:
        box = (left, top + 3, left + 40, top + 14)
        if kind in {"measured", "zero"}:
            paper.rect(box, MEASURED if kind == "measured" else ZERO, opacity=0.45)
        else:
            dashes = (4.0, 2.5) if kind == "left out" else ()
            colour = BAD if kind == "left out" else RUN_COLOURS[0]
            first = 14.0 if kind == "gap" else 0.0
            points = [(left + first, top + 9.0), (left + 40.0 - first, top + 9.0)]
            paper.line(points, colour, _STROKES.get(kind, 1.3), dashes=dashes)
        words.draw(paper, left + _LEAD, top)

    return _Piece(words.height, draw)


def _worded(kind: str, text: str, width: int) -> _Piece:
    words = _text(text, _BODY, width - _LEAD)

    def draw(paper: Paper, left: int, top: int) -> None:
        letters = _STRONG if kind in _COLOURS else _BODY
        paper.text(left, top + _BODY.size, LEADS[kind], letters, _COLOURS.get(kind, QUIET))
        words.draw(paper, left + _LEAD, top)

    return _Piece(words.height, draw)


def _text(text: str, letters: Lettering, width: int, colour: str = INK) -> _Piece:
    lines = letters.wrapped(text, width)

    def draw(paper: Paper, left: int, top: int) -> None:
        for row, line in enumerate(lines):
            paper.text(left, top + letters.size + row * letters.line, line, letters, colour)

    return _Piece(len(lines) * letters.line + 2, draw)


def _rule(colour: str, width: int) -> _Piece:
    def draw(paper: Paper, left: int, top: int) -> None:
        paper.rect((left, top + 3, left + _WHOLE, top + 3 + width), colour)

    return _Piece(width + 9, draw)


def _gap(height: int) -> _Piece:
    return _Piece(height, lambda _paper, _left, _top: None)


def _stacked(pieces: Sequence[_Piece]) -> _Piece:
    def draw(paper: Paper, left: int, top: int) -> None:
        for piece in pieces:
            piece.draw(paper, left, top)
            top += piece.height

    return _Piece(sum(piece.height for piece in pieces), draw)


def _beside(pieces: Sequence[_Piece]) -> _Piece:
    def draw(paper: Paper, left: int, top: int) -> None:
        for place, piece in enumerate(pieces):
            piece.draw(paper, left + place * (_CELL + _GUTTER), top)

    return _Piece(max(piece.height for piece in pieces), draw)
