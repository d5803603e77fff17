"""Score update: points add up on every frame, old values stand struck, rows come in turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest

from overlays.checks.writing import Line, is_number, lines_on
from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Layer
from overlays.errors import OutlineError
from overlays.kinds._score_content import Column, ScoreUpdateContent, Update
from overlays.kinds._score_scene import ScoreUpdateScene
from overlays.kinds._score_timing import least_s, natural_s
from overlays.kinds.registry import build
from overlays.kinds.score_update import ScoreUpdate
from tests.kinds.conftest import Bench, content_of, cue, stage

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]
LATE = Column("late", "late", "s", None, "3", Decimal("-4.0"), Decimal(-5), 1)


def content_for(bench: Bench, **options: object) -> ScoreUpdateContent:
    content = content_of(bench.results, "score_update", **options)
    assert isinstance(content, ScoreUpdateContent)
    return content


def with_columns(content: ScoreUpdateContent, *columns: Column) -> ScoreUpdateContent:
    """Give every entry other columns."""
    return replace(content, updates=tuple(replace(one, columns=columns) for one in content.updates))


def many(bench: Bench, count: int, columns: Sequence[Column] = ()) -> ScoreUpdateContent:
    """Return an update of so many entries, old and new ones, with further columns."""
    pair = content_for(bench, entries=["alder", "basalt"])
    updates = [
        replace(
            pair.updates[i % 2],
            name=f"Brick {i}",
            columns=(
                replace(pair.updates[0].columns[0], points=Decimal(300 - 7 * i) / 10),
                pair.updates[i % 2].columns[1],
                *columns,
            ),
            rank=i + 1,
        )
        for i in range(count)
    ]
    return replace(pair, updates=tuple(updates), of=count)


def as_written(line: Line) -> Decimal:
    return Decimal(line.text.replace("\N{MINUS SIGN}", "-"))


def beside(line: Line, lines: Sequence[Line]) -> list[Line]:
    """Return the lines of text that stand at the height of another."""
    middle = (line.rect.top + line.rect.bottom) // 2
    return [one for one in lines if one.rect.top <= middle < one.rect.bottom]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("entries", [("alder",), ("basalt",), ("alder", "basalt")])
def test_the_total_is_the_sum_of_the_points_shown(
    bench: Bench, shape: tuple[int, int], entries: tuple[str, ...]
) -> None:
    """On every frame each total is the sum of its row's points, read off the drawn text."""
    content = content_for(bench, entries=list(entries))
    frames = 300 * len(entries)
    scene = ScoreUpdateScene(content, stage(*shape, frames=frames), bench.style)
    seen = sums_of(scene, frames)
    assert {Decimal(one.score) for one in content.updates} <= seen
    assert len(seen) > 10


def test_totals_add_up_with_closed_lines_and_points_taken_away(bench: Bench) -> None:
    """Seven entries of three columns, one of which takes away: every total on every frame."""
    content = many(bench, 7, [LATE])
    scene = ScoreUpdateScene(content, stage(1920, 1080, frames=1200), bench.style)
    assert scene._plan.lines == 6
    seen = sums_of(scene, 1200)
    assert {Decimal(one.score) for one in content.updates} <= seen


def sums_of(scene: ScoreUpdateScene, frames: int) -> set[Decimal]:
    """Check the sums of every frame, and return the totals that were shown."""
    kind, seen = scene._kind, set()
    open_size, closed_size = kind.total.face.size, kind.closed_total.face.size
    scores = {Decimal(one.score) for one in scene._content.updates}
    inks = {kind.coloured(one.colour).colour.rgb for one in scene._content.updates}
    inks.add(kind.taken.colour.rgb)
    for frame in range(frames):
        lines = lines_on(scene.layers(frame))
        numbers = [line for line in lines if is_number(line.text)]
        points = [
            line for line in numbers
            if line.size == kind.points.face.size and line.colour[:3] in inks
        ]  # fmt: skip
        plain = [line for line in numbers if line.colour[:3] == kind.total.colour.rgb]
        closed = [x for x in plain if x.size == closed_size and "." in x.text]
        total = [x for x in plain if x.size == open_size and "." in x.text]
        filed = [one for line in closed for one in beside(line, points)]
        for line in closed:
            parts = beside(line, points)
            assert as_written(line) in scores
            if scene._plan.wide:
                assert as_written(line) == sum((as_written(x) for x in parts), Decimal(0))
        for line in total:
            parts = [one for one in points if one not in filed]
            assert as_written(line) == sum((as_written(x) for x in parts), Decimal(0)), frame
            seen.add(as_written(line))
    return seen


def test_columns_arrive_one_after_another(bench: Bench) -> None:
    """A column's points begin to count only when those before it stand."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(480, 270), bench.style)
    row = scene._rows[0]
    for frame in range(300):
        first, second = row.points_at(frame)
        if second is not None:
            assert first == Decimal("30.0")
    assert row.points_at(299) == (Decimal("30.0"), Decimal("13.6"))


def test_scales_are_as_long_as_what_could_be_had(bench: Bench) -> None:
    """A point is the same length in every column, and the foot's bars follow one another."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(1920, 1080), bench.style)
    row = scene._rows[0]
    first, second = row._cells
    per_point = scene._plan.px_per_point
    assert first.bar.patch.width == pytest.approx(30 * per_point, abs=1)
    assert second.bar.patch.width == pytest.approx(13.6 * per_point, abs=1)
    foot = row._scale
    assert first.share.left == pytest.approx(foot.at(0), abs=1)
    assert second.share.left == pytest.approx(foot.at(30), abs=1)
    assert second.share.covers.right == pytest.approx(foot.at(43.6), abs=4)


def test_points_elsewhere_keep_the_total_right(bench: Bench) -> None:
    """With only some columns asked for, the others come as one, so that the total still adds up."""
    content = content_for(bench, entry="alder", columns=["claim"])
    assert [column.label for column in content.last.columns] == ["claim kept", "other columns"]
    assert content.last.score == "43.6"
    scene = ScoreUpdateScene(content, stage(1920, 1080), bench.style)
    assert scene._rows[0]._cells[1].new == ()  # several columns have points, and no one value


def test_a_missing_figure_gives_a_dash_and_no_points(bench: Bench) -> None:
    """A figure that is not there is neither zero nor scored."""
    content = content_for(bench, entry="basalt")
    claim = content.last.columns[1]
    assert (claim.new, claim.points) == (None, None)
    scene = ScoreUpdateScene(content, stage(480, 270), bench.style)
    assert scene._rows[0].points_at(299) == (Decimal("28.7"), None)
    assert "claim kept missing, no points" in ScoreUpdate.describe(content)


def test_no_points_at_all_are_no_nought(bench: Bench) -> None:
    """An entry without a single figure has no total; a dash stands for it."""
    content = content_for(bench, entry="basalt")
    none = with_columns(content, *(replace(c, new=None, points=None) for c in content.last.columns))
    assert none.last.score == "–"
    assert none.sums == ()
    assert "Score none" in ScoreUpdate.describe(none)
    scene = ScoreUpdateScene(none, stage(1920, 1080), bench.style)
    assert not any(line.text == "0.0" for line in lines_on(scene.layers(299)))


def test_a_new_entry_has_no_old_values(bench: Bench) -> None:
    """An entry new to the standings says so, and leaves no room for values it never had."""
    old, new = content_for(bench, entry="alder"), content_for(bench, entry="basalt")
    assert new.caption[-1] == "new in the standings"
    heights = [
        ScoreUpdateScene(content, stage(1920, 1080), bench.style)._plan.rect
        for content in (old, new)
    ]
    assert heights[1].top > heights[0].top


def test_an_unchanged_value_is_not_struck(bench: Bench) -> None:
    """Only what changed is struck: a value, and the score."""
    content = content_for(bench, entry="alder")
    first, second = content.last.columns
    same = with_columns(content, replace(first, old=first.new), second)
    same = replace(same, updates=(replace(same.last, old_score="43.6"),))
    row = ScoreUpdateScene(same, stage(480, 270), bench.style)._rows[0]
    assert row._cells[0].strike is None
    assert row._cells[1].strike is not None
    assert row._old_score is None


def test_the_rank_is_told_in_words(bench: Bench) -> None:
    """Beside the number stands what it is and of how many: place 1 of 2."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(1920, 1080), bench.style)
    lines = lines_on(scene.layers(299))
    rank = next(line for line in lines if line.text == "1")
    told = [line.text for line in sorted(beside(rank, lines), key=lambda x: x.rect.left)]
    assert told[-4:] == ["place", "3", "1", "of 2"]
    arrived = lines_on(scene.layers(40))
    before = [line.text for line in sorted(beside(rank, arrived), key=lambda x: x.rect.left)]
    assert before[-2:] == ["place", "3"]


@pytest.mark.parametrize("shape", SHAPES)
def test_a_struck_minus_can_still_be_read(bench: Bench, shape: tuple[int, int]) -> None:
    """The strike leaves a minus sign's row free on at least part of it."""
    content = content_for(bench, entry="alder")
    assert content.last.columns[1].old == "-78"
    scene = ScoreUpdateScene(content, stage(*shape), bench.style)
    cell = scene._rows[0]._cells[1]
    assert cell.old is not None
    assert cell.strike is not None
    ink = cell.old.patch.pixels[..., 3] > 128
    # The minus is the leftmost run of ink; its rows are those of its first columns.
    first = np.flatnonzero(ink.any(axis=0))[: cell.old.patch.height // 4]
    rows = np.flatnonzero(ink[:, first].any(axis=1))
    dy, dx = cell.old.top - cell.strike.top, cell.old.left - cell.strike.left
    over = cell.strike.patch.pixels[rows.min() + dy : rows.max() + 1 + dy, first + dx, 3]
    assert (over > 128).mean() < 0.35


def test_points_taken_away_eat_back(bench: Bench) -> None:
    """A penalty's bar lies along the foot from the new total back to the old one."""
    content = content_for(bench, entry="alder")
    scene = ScoreUpdateScene(
        with_columns(content, *content.last.columns, LATE), stage(1920, 1080), bench.style
    )
    row = scene._rows[0]
    taken, foot = row._cells[2], row._scale
    assert foot.high == 45
    assert taken.share.left == pytest.approx(foot.at(39.6), abs=1)
    assert taken.share.covers.right == pytest.approx(foot.at(43.6), abs=4)
    assert tuple(taken.share.patch.pixels[0, 0, :3]) == bench.style.colours.strike.rgb
    assert scene._content.last.total(row.points_at(299)) == "39.6"


@pytest.mark.parametrize("times", [1, 3, 5])
@pytest.mark.parametrize("entries", [1, 4, 12])
@pytest.mark.parametrize("shape", SHAPES)
def test_nothing_overlaps(bench: Bench, shape: tuple[int, int], entries: int, times: int) -> None:
    """No two texts of a final state share a pixel, with two, six and ten columns."""
    content = many(bench, entries)
    content = replace(
        content,
        updates=tuple(replace(one, columns=one.columns * times) for one in content.updates),
    )
    scene = ScoreUpdateScene(content, stage(*shape, frames=1200), bench.style)
    inside = scene._page.graphics
    for turn in {0, entries // 2, entries - 1}:
        last = scene._turns[turn].leave.first - 1 if turn < entries - 1 else 1199
        texts = [x for x in scene.layers(last) if x.patch.written]
        assert all(layer.covers.meet(inside) == layer.covers for layer in texts)
        assert most_ink(texts, shape) == 1
    assert draw_alone(scene, 1199)[..., 3].any()


def most_ink(texts: Sequence[Layer], shape: tuple[int, int]) -> int:
    """Return how many texts there are in the pixel that has most of them."""
    taken = np.zeros((shape[1], shape[0]), np.uint8)
    for layer in texts:
        x0, y0, x1, y1 = layer.covers
        pixels = layer.patch.pixels[
            y0 - layer.top : y1 - layer.top, x0 - layer.left : x1 - layer.left
        ]
        ink = {written.colour[:3] for written in layer.patch.written}
        of_text = np.isin(pixels[..., :3].astype(int) @ (65536, 256, 1),
                          [r * 65536 + g * 256 + b for r, g, b in ink])  # fmt: skip
        for written in layer.patch.written:
            left, top, right, bottom = written.rect
            area = taken[
                layer.top + top : layer.top + bottom, layer.left + left : layer.left + right
            ]
            area += (pixels[..., 3] > 32)[top:bottom, left:right] & of_text[top:bottom, left:right]
    return int(taken.max())


def test_entries_come_in_turn(bench: Bench) -> None:
    """One row is open at a time; those shown stay above it, and those to come wait below."""
    scene = ScoreUpdateScene(many(bench, 4), stage(1920, 1080, frames=900), bench.style)
    assert len(scene._rows) == 4
    for turn, row in enumerate(scene._rows):
        lines = lines_on(scene.layers(row.moves.rank.end))
        names = sorted((x for x in lines if x.text.startswith("Brick ")), key=lambda x: x.rect.top)
        assert [line.text for line in names] == ["Brick 0", "Brick 1", "Brick 2", "Brick 3"]
        sizes = [line.size for line in names]
        assert sizes.index(max(sizes)) == turn
        assert sum(1 for line in lines if line.text == "place") == turn + 1


def test_rows_that_find_no_room_give_way(bench: Bench) -> None:
    """Where not all closed lines fit, the latest stay, and the open row stays where it is."""
    content = many(bench, 12)
    content = replace(
        content, updates=tuple(replace(one, columns=one.columns * 3) for one in content.updates)
    )
    scene = ScoreUpdateScene(content, stage(1080, 1080, frames=2400), bench.style)
    lines = scene._plan.lines
    assert 0 < lines < 11
    last = [x.text for x in lines_on(scene.layers(2399)) if x.text.startswith("Brick ")]
    assert sorted(last, key=lambda x: int(x[6:])) == [f"Brick {i}" for i in range(11 - lines, 12)]


def test_one_thing_moves_at_a_time(bench: Bench) -> None:
    """The stages of all turns follow one another without overlapping, each at least one frame."""
    scene = ScoreUpdateScene(many(bench, 3), stage(1920, 1080, frames=900), bench.style)
    found = []
    for turn, moves in enumerate(scene._row_moves):
        found += [moves.row, *moves.columns, moves.rank]
        if turn < 2:
            found += [scene._turns[turn].leave, scene._turns[turn].close]
    for one, other in pairwise(found):
        assert one.frames >= 1
        assert one.end <= other.first
    read = [scene._turns[turn].leave.first - scene._row_moves[turn].rank.end for turn in range(2)]
    assert max(read) - min(read) <= 1
    assert min(read) > 30  # time to look at a finished row


def test_a_cue_too_short_for_its_entries_is_refused(bench: Bench) -> None:
    """So many entries need so many seconds; one entry is shown in any time."""
    content = many(bench, 4)
    least = least_s(content)
    ScoreUpdate.check_length(content, stage(1920, 1080, frames=int(least * 30) + 1))
    with pytest.raises(
        OutlineError, match=r"4 entries with 2 columns each need at least \d"
    ) as told:
        ScoreUpdate.check_length(content, stage(1920, 1080, frames=int(least * 30) - 1))
    assert told.value.field == "entries"
    ScoreUpdate.check_length(content_for(bench, entry="alder"), stage(480, 270, frames=1))
    assert natural_s(content) > 1.5 * least


@pytest.mark.parametrize(
    ("options", "field"),
    [({}, "entry"), ({"entry": "alder", "entries": ["basalt"]}, "entries")],
)
def test_entries_are_named_in_one_way(bench: Bench, options: dict[str, object], field: str) -> None:
    """Neither and both are refused, with what to write."""
    overlay = build(cue("score_update", **options), bench.results.session)
    with pytest.raises(OutlineError, match=r"given|no entry") as told:
        overlay.content(bench.results)
    assert told.value.field == field


def test_one_entry_in_a_list_is_the_same_as_by_itself(bench: Bench) -> None:
    """`entries` with one entry shows what `entry` shows, and repeats count once."""
    one = content_for(bench, entry="alder")
    assert content_for(bench, entries=["alder"]) == one
    assert content_for(bench, entries=["alder", "alder"]) == one


def test_an_entry_without_a_row_is_refused(bench: Bench) -> None:
    """An entry that is not in the standings cannot be updated."""
    overlay = build(cue("score_update", entries=["alder", "dune"]), bench.results.session)
    with pytest.raises(OutlineError, match="'dune' has no row"):
        overlay.content(bench.results)


def test_the_figures_set_at_the_end_are_the_last_entrys(bench: Bench) -> None:
    """All figures count as shown; the last frame sets those of the row that stands open."""
    content = content_for(bench, entries=["alder", "basalt"])
    assert len(content.figures) == 4
    assert content.set_figures == (("mean", "basalt"), ("kept", "basalt"))
    assert content.sums == ((("28.7",), "28.7"),)


def test_the_total_has_the_most_decimals_any_column_has() -> None:
    """Columns of different decimals add up without losing one."""
    column = Column("a", "a", "", None, None, Decimal("1.25"), Decimal(5), 2)
    update = Update(
        name="", note="", colour=0,
        columns=(column, replace(column, points=Decimal("2.5"), places=1)),
        old_score=None, old_rank=None, rank=None,
    )  # fmt: skip
    assert update.score == "3.75"
