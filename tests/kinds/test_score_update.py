"""Score update: points add up on every frame, old values stand struck, new entries look right."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Layer
from overlays.errors import OutlineError
from overlays.kinds._score_content import Column, ScoreUpdateContent, total_text
from overlays.kinds._score_row import ScoreUpdateScene
from overlays.kinds.registry import build
from overlays.kinds.score_update import ScoreUpdate
from tests.kinds.conftest import Bench, content_of, cue, stage

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]


def content_for(bench: Bench, **options: object) -> ScoreUpdateContent:
    content = content_of(bench.results, "score_update", **options)
    assert isinstance(content, ScoreUpdateContent)
    return content


def test_the_total_is_the_sum_of_the_points_shown(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On every frame the total drawn is the sum of the points drawn, read off the drawn text."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(480, 270), bench.style)
    drawn: list[tuple[str, object]] = []
    numerals = type(scene._kind.points)
    original = numerals.layers

    def noted(self: object, text: str, right: int, baseline: int) -> object:
        drawn.append((text, self))
        return original(self, text, right, baseline)  # type: ignore[arg-type]

    monkeypatch.setattr(numerals, "layers", noted)
    seen = set()
    for frame in range(300):
        drawn.clear()
        scene.layers(frame)
        points = [Decimal(text) for text, by in drawn if by == scene._kind.points]
        totals = [Decimal(text) for text, by in drawn if by == scene._kind.total]
        if totals:
            assert totals == [sum(points, Decimal(0))]
            seen.add(totals[0])
    assert Decimal("43.6") in seen
    assert len(seen) > 20


def test_columns_arrive_one_after_another(bench: Bench) -> None:
    """A column's points begin to count only when those before it stand."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(480, 270), bench.style)
    for frame in range(300):
        first, second = scene.points_at(frame)
        if second is not None:
            assert first == Decimal("30.0")
    assert scene.points_at(299) == (Decimal("30.0"), Decimal("13.6"))


def test_scales_are_as_long_as_what_could_be_had(bench: Bench) -> None:
    """A point is the same length in every column, and the foot's bars follow one another."""
    scene = ScoreUpdateScene(content_for(bench, entry="alder"), stage(1920, 1080), bench.style)
    first, second = scene._cells
    per_point = scene._plan.px_per_point
    assert first.bar.patch.width == pytest.approx(30 * per_point, abs=1)
    assert second.bar.patch.width == pytest.approx(13.6 * per_point, abs=1)
    foot = scene._total_scale
    assert first.share.left == pytest.approx(foot.at(0), abs=1)
    assert second.share.left == pytest.approx(foot.at(30), abs=1)
    assert second.share.covers.right == pytest.approx(foot.at(43.6), abs=4)


def test_points_elsewhere_keep_the_total_right(bench: Bench) -> None:
    """With only some columns asked for, the others come as one, so that the total still adds up."""
    content = content_for(bench, entry="alder", columns=["claim"])
    assert [column.label for column in content.columns] == ["claim kept", "other columns"]
    assert sum(column.points or 0 for column in content.columns) == Decimal("43.6")


def test_a_missing_figure_gives_a_dash_and_no_points(bench: Bench) -> None:
    """A figure that is not there is neither zero nor scored."""
    content = content_for(bench, entry="basalt")
    claim = content.columns[1]
    assert (claim.new, claim.points) == (None, None)
    scene = ScoreUpdateScene(content, stage(480, 270), bench.style)
    assert scene.points_at(299) == (Decimal("28.7"), None)
    assert "claim kept missing, no points" in ScoreUpdate.describe(content)


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
    """Only what changed is struck."""
    content = content_for(bench, entry="alder")
    same = replace(content.columns[0], old=content.columns[0].new)
    scene = ScoreUpdateScene(
        replace(content, columns=(same, content.columns[1])), stage(480, 270), bench.style
    )
    assert scene._cells[0].strike is None
    assert scene._cells[1].strike is not None


@pytest.mark.parametrize("shape", SHAPES)
def test_a_struck_minus_can_still_be_read(bench: Bench, shape: tuple[int, int]) -> None:
    """The strike leaves a minus sign's row free on at least part of it."""
    content = content_for(bench, entry="alder")
    assert content.columns[1].old == "-78"
    scene = ScoreUpdateScene(content, stage(*shape), bench.style)
    cell = scene._cells[1]
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
    penalty = Column("late", "late", "s", None, "3", Decimal("-4.0"), Decimal(-5), 1)
    scene = ScoreUpdateScene(
        replace(content, columns=(*content.columns, penalty)), stage(1920, 1080), bench.style
    )
    taken, foot = scene._cells[2], scene._total_scale
    assert foot.high == 45
    assert taken.share.left == pytest.approx(foot.at(39.6), abs=1)
    assert taken.share.covers.right == pytest.approx(foot.at(43.6), abs=4)
    assert tuple(taken.share.patch.pixels[0, 0, :3]) == bench.style.colours.strike.rgb
    assert total_text(scene._content, scene.points_at(299)) == "39.6"


@pytest.mark.parametrize("times", [1, 3, 5])
@pytest.mark.parametrize("shape", SHAPES)
def test_nothing_overlaps(bench: Bench, shape: tuple[int, int], times: int) -> None:
    """No two texts of the final state share a pixel, with two, six and ten columns."""
    content = content_for(bench, entry="alder")
    many = replace(content, columns=content.columns * times)
    scene = ScoreUpdateScene(many, stage(*shape), bench.style)
    taken = np.zeros((shape[1], shape[0]), np.uint8)
    texts: list[Layer] = []
    for cell in scene._cells:
        texts += [*cell.new, *scene._points_layers(cell, cell.column.points)]
        texts += [] if cell.old is None else [cell.old]
    texts += [*scene._totals(299)[1:], *scene._place[2]]
    texts += [layer for layer in scene._row if layer.patch.pixels[0, 0, 3] == 0]
    for layer in texts:
        x0, y0, x1, y1 = layer.covers
        taken[y0:y1, x0:x1] += layer.patch.pixels[..., 3] > 32
    assert taken.max() == 1
    assert draw_alone(scene, 299)[..., 3].any()


def test_an_entry_without_a_row_is_refused(bench: Bench) -> None:
    """An entry that is not in the standings cannot be updated."""
    overlay = build(cue("score_update", entry="dune"), bench.results.session)
    with pytest.raises(OutlineError, match="'dune' has no row"):
        overlay.content(bench.results)


def test_the_total_has_the_most_decimals_any_column_has() -> None:
    """Columns of different decimals add up without losing one."""
    column = Column("a", "a", "", None, None, Decimal("1.25"), Decimal(5), 2)
    content = ScoreUpdateContent(
        figures=(), runs=(), title="", caption=(), name="", note="", colour=0,
        columns=(column, replace(column, points=Decimal("2.5"), places=1)),
        old_score=None, old_rank=None, rank=None, of=0,
    )  # fmt: skip
    points = [each.points for each in content.columns]
    assert total_text(content, points) == "3.75"
