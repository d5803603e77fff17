"""Result strip: sorted as shown, true to its scale, and nothing left unsaid."""

from __future__ import annotations

import pytest

from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Rect
from overlays.errors import OutlineError
from overlays.kinds._strip_rows import ResultStripContent, result_strip_scene
from overlays.kinds.registry import build
from overlays.kinds.result_strip import ResultStrip
from overlays.model.result import Results
from tests.kinds.conftest import Bench, content_of, cue, stage
from tests.kinds.tables import measured_results, overlapping, texts_at

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]
MANY = (12.0, -8.5, 40.25, None, 33.3, 33.3, 21.0, 0.0, 55.1, -2.2, 47.0, 12.5)


def content_for(results: Results, **options: object) -> ResultStripContent:
    content = content_of(results, "result_strip", figure="mean", **options)
    assert isinstance(content, ResultStripContent)
    return content


def test_the_best_comes_first_whichever_way_is_better() -> None:
    """Higher or lower first as the session says; equal ones keep their order, missing ones last."""
    order = [row.name for row in content_for(measured_results([2.0, None, 5.0, 2.04])).rows]
    assert order == [
        "Öhrwurm 2",
        "Elm 0",
        "Fir 3",
        "A rather long-winded product name, series two 1",
    ]
    lower = content_for(measured_results([2.0, 5.0, 1.0], better="lower"))
    assert [row.text for row in lower.rows] == ["1.0", "2.0", "5.0"]
    assert "lower is better" in lower.caption


def test_missing_and_fewer_runs_are_said() -> None:
    """A missing figure has its reason, and fewer repeats than planned are said beside the name."""
    content = content_for(measured_results([2.0, None], n=2))
    assert [row.note for row in content.rows] == ["2 of 3 runs", "the clamp broke on the way up"]
    text = ResultStrip.describe(content)
    assert "Elm 0 2.0 N·m (2 of 3 runs)" in text
    assert "series two 1 – (the clamp broke on the way up)" in text


@pytest.mark.parametrize("shape", SHAPES)
def test_bars_and_brackets_are_true_to_the_rule(bench: Bench, shape: tuple[int, int]) -> None:
    """A bar runs from zero to its value, a bracket from the lowest to the highest repeat."""
    content = content_for(measured_results([40.0, -10.0], scatter=4.0))
    scene = result_strip_scene(content, stage(*shape), bench.style)
    bars = {
        layer.patch.pixels[0, 0, :3].tobytes(): layer.covers
        for layer in scene.layers(299)
        if layer.patch.height > 20
        and tuple(layer.patch.pixels[0, 0, :3])
        in [bench.style.colours.entry(row.colour).rgb for row in content.rows]
    }
    high, low = sorted(bars.values())[::-1]
    per_unit = (high.right - high.left) / 40.0
    assert (low.right - low.left) / per_unit == pytest.approx(10.0, abs=0.1)
    assert low.right == pytest.approx(high.left, abs=1)
    ink = bench.style.colours.ink.rgb
    brackets = [
        layer.covers
        for layer in scene.layers(299)
        if not layer.patch.written
        and layer.patch.height < 12
        and tuple(layer.patch.pixels[0, 0, :3]) == ink
    ]
    assert [
        ((box.left - high.left) / per_unit, (box.right - high.left) / per_unit) for box in brackets
    ] == [pytest.approx(ends, abs=0.6) for ends in ((-14.0, -6.0), (36.0, 44.0))]


@pytest.mark.parametrize("shape", SHAPES)
def test_many_rows_overlap_nothing(bench: Bench, shape: tuple[int, int]) -> None:
    """Twelve entries with long names, gaps and negative values fit, and no two texts touch."""
    content = content_for(measured_results(MANY))
    scene = result_strip_scene(content, stage(*shape), bench.style)
    assert overlapping(scene, 299) == []
    texts = [text for text, _ in texts_at(scene, 299)]
    assert texts.count("33.3") == 2
    assert "−8.5" in texts
    safe = Rect(shape[0] // 20, shape[1] // 20, shape[0] * 19 // 20, shape[1] * 19 // 20)
    assert all(rect.meet(safe) == rect for _, rect in texts_at(scene, 299))


def test_the_best_comes_last(bench: Bench) -> None:
    """Rows come one after another, the best one last."""
    content = content_for(measured_results([2.0, 5.0, 3.0]))
    scene = result_strip_scene(content, stage(480, 270), bench.style)
    seen = [{text for text, _ in texts_at(scene, frame)} for frame in range(300)]
    first = {text: next(i for i, texts in enumerate(seen) if text in texts)
             for text in ("2.0", "3.0", "5.0")}  # fmt: skip
    assert first["2.0"] < first["3.0"] < first["5.0"]


def test_one_entry_is_a_strip_too(bench: Bench) -> None:
    """A single entry with a single run has no bracket, and is drawn."""
    content = content_for(measured_results([0.0], n=1), entries=["e0"])
    assert content.rows[0].spread is None
    scene = result_strip_scene(content, stage(480, 270), bench.style)
    assert draw_alone(scene, 299)[..., 3].any()


def test_a_figure_nobody_has_is_refused() -> None:
    """Where the figure is missing everywhere the error says why."""
    results = measured_results([None, None])
    overlay = build(cue("result_strip", figure="mean"), results.session)
    with pytest.raises(OutlineError, match="e0: the clamp broke") as caught:
        overlay.content(results)
    assert caught.value.field == "figure"


def test_more_than_can_be_read_is_refused() -> None:
    """Seventeen entries are too many for one strip."""
    results = measured_results([1.0] * 17)
    overlay = build(cue("result_strip", figure="mean"), results.session)
    with pytest.raises(OutlineError, match="17 entries cannot be read at once; at most 16 can"):
        overlay.content(results)
