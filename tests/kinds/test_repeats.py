"""Repeats: every run stands where its value lies, the shown one is marked, the left out struck."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from overlays.errors import OutlineError
from overlays.kinds._repeats_scene import RepeatRow, RepeatsContent, repeats_scene
from overlays.kinds._rows_scene import RowsScene
from overlays.kinds.repeats import Repeats
from overlays.model.result import Results
from overlays.model.run import RunRef
from tests.kinds.conftest import Bench, content_of, make_repeats, make_results, stage
from tests.kinds.tables import overlapping, texts_at

SHAPES = ((1920, 1080), (1080, 1920), (1080, 1080))
SLIPPED = RunRef(
    "alder", "cold", 9, Path("x"), "x", note="Clamp slipped. Ask Jo.", use=False
)  # fmt: skip


def results_with(
    values: list[float | None],
    *,
    median: int = 0,
    remark: str = "",
    left_out: tuple[RunRef, ...] = (),
) -> Results:
    results = make_results()
    runs = replace(
        make_repeats("alder", runs=len(values)), median=median, remark=remark, left_out=left_out
    )
    shown = values[median]
    figure = replace(
        results.figures["mean", "alder"],
        value=shown,
        shown="–" if shown is None else f"{shown:.1f}",
        repeats=tuple(values),
        n=len(values),
    )
    return make_results(
        repeats={("alder", "cold"): runs}, figures={**results.figures, ("mean", "alder"): figure}
    )


def content_with(values: list[float | None], **changes: object) -> RepeatsContent:
    results = results_with(values, **changes)  # type: ignore[arg-type]
    content = content_of(results, "repeats", entry="alder", test="cold")
    assert isinstance(content, RepeatsContent)
    return content


def marks(scene: RowsScene, bench: Bench) -> list[float]:
    """Return the middles of the marks in Alder's colour, from top to bottom."""
    colour = bench.style.colours.entry(0).rgb
    found = [
        layer.covers
        for layer in scene.layers(scene.frames - 1)
        if layer.patch.width < 20
        and layer.patch.height > 20
        and tuple(layer.patch.pixels[0, 0, :3]) == colour
    ]
    return [(box.left + box.right) / 2 for box in sorted(found, key=lambda box: box.top)]


@pytest.mark.parametrize("shape", SHAPES)
def test_marks_lie_as_far_apart_as_the_values(bench: Bench, shape: tuple[int, int]) -> None:
    """Distances of marks are to each other as differences of values, and grow with them."""
    scene = repeats_scene(content_with([60.0, 64.0, 72.0]), stage(*shape), bench.style)
    first, second, third = marks(scene, bench)
    assert (third - second) / (second - first) == pytest.approx(2.0, abs=0.03)
    assert third > first


@pytest.mark.parametrize("from_zero", [True, False])
def test_marks_are_true_to_the_numbers_of_the_rule(bench: Bench, *, from_zero: bool) -> None:
    """Read off the rule's numbers, each mark is at its value; asked to, the rule begins at zero."""
    content = replace(content_with([51.0, 60.0]), from_zero=from_zero)
    scene = repeats_scene(content, stage(1920, 1080), bench.style)
    ends = {text: place.right for text, place in texts_at(scene, 299)}
    # A number ends six pixels before its tick.
    ticks = {value: ends[str(value)] + 6 for value in range(10, 81, 10) if str(value) in ends}
    low, high = min(ticks), max(ticks)
    per_unit = (ticks[high] - ticks[low]) / (high - low)
    read = [low + (mark - ticks[low]) / per_unit for mark in marks(scene, bench)]
    assert read == pytest.approx([51.0, 60.0], abs=0.3)
    assert (low == 10) == from_zero


def test_next_to_no_difference_looks_like_next_to_none(bench: Bench) -> None:
    """A hundredth of the value is not spread over the whole scale."""
    scene = repeats_scene(content_with([60.0, 60.6]), stage(1920, 1080), bench.style)
    first, second = marks(scene, bench)
    assert 0 < second - first < 200


def test_the_middle_run_is_named_so(bench: Bench) -> None:
    """Of three runs the shown one is the middle one, and how far they are apart is said."""
    content = content_with([71.0, 69.5, 70.2], median=2)
    assert [row.says for row in content.rows] == ["", "", "middle run, shown"]
    assert [row.text for row in content.rows] == ["71.0", "69.5", "70.2"]
    assert content.apart == "1.5"
    assert content.values == ("71.0", "69.5", "70.2", "1.5")
    assert content.caption == ("every run", "shown: middle of three runs")
    texts = [
        text for text, _ in texts_at(repeats_scene(content, stage(480, 270), bench.style), 299)
    ]
    assert "1.5\N{NO-BREAK SPACE}N·m apart" in texts
    text = Repeats.describe(content)
    assert text == (
        "Alder: cold stop: run 1 71.0 N·m, run 2 69.5 N·m, run 3 70.2 N·m (middle run, shown); "
        "1.5 N·m apart."
    )


def test_an_even_count_speaks_plainly() -> None:
    """Of two runs the lower is shown, without a word of medians."""
    content = content_with([71.0, 69.5], median=1, remark="lower middle of 2")
    assert content.rows[1].says == "the run shown"
    assert content.caption[1] == "shown: lower of two runs"
    assert "median" not in Repeats.describe(content)


def test_a_figure_that_does_not_choose_says_which_does() -> None:
    """Chosen by another figure, the run shown need not be the middle one of this."""
    results = results_with([71.0, 69.5, 70.2], median=0)
    spec = results.session.spec
    other = spec.figures["mean"].model_copy(update={"label": "steadiest second"})
    figures = {**spec.figures, "steady": other}
    session = replace(results.session, spec=spec.model_copy(update={"figures": figures}))
    found = {**results.figures, ("steady", "alder"): results.figures["mean", "alder"]}
    results = replace(results, session=session, figures=found)
    content = content_of(results, "repeats", entry="alder", test="cold", figure="steady")
    assert isinstance(content, RepeatsContent)
    assert content.rows[0].says == "the run shown"
    assert content.caption == (
        "Cold stop: every run", "shown: middle of three runs", "chosen by cold stop",
    )  # fmt: skip


def test_one_run_makes_no_spread() -> None:
    """A single run has no flag and nothing to be apart from."""
    content = content_with([70.2])
    assert (content.apart, content.rows[0].says) == ("", "")
    assert content.caption == ("every run", "one run only")


@pytest.mark.parametrize("shape", SHAPES)
def test_runs_left_out_are_struck_with_their_reason(bench: Bench, shape: tuple[int, int]) -> None:
    """A run left out stands under the rule, struck, with the first sentence of its reason."""
    content = content_with([71.0, None, 70.2], median=2, left_out=(SLIPPED,))
    assert content.rows[1] == RepeatRow(
        "Run 2", None, "–", "this figure could not be worked out", shown=False
    )
    assert content.rows[3] == RepeatRow("Run 9", None, "", "clamp slipped", struck=True)
    assert "run 9 left out: clamp slipped" in Repeats.describe(content)
    scene = repeats_scene(content, stage(*shape), bench.style)
    assert "left out: clamp slipped" in [text for text, _ in texts_at(scene, 299)]
    strike = bench.style.colours.strike.rgb
    assert any(
        (layer.patch.pixels[..., 3] == 255).any()
        and (layer.patch.pixels[layer.patch.pixels[..., 3] == 255][:, :3] == strike).all()
        for layer in scene.layers(299)
    )


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("count", [1, 2, 3, 7, 9])
def test_no_text_touches_another(bench: Bench, shape: tuple[int, int], count: int) -> None:
    """Few runs or many, long reasons and a long name: no text lies on another."""
    reason = "the lever clamp slipped at three seconds and nobody was looking at the gauge " * 2
    refs = tuple(replace(SLIPPED, repeat=20 + i, note=reason) for i in range(min(3, 12 - count)))
    values = [70.0 + 0.3 * i for i in range(count)]
    content = content_with(values, median=count // 2, left_out=refs)  # type: ignore[arg-type]
    content = replace(content, title="A rather long-winded product name, series two: cold stop")
    scene = repeats_scene(content, stage(*shape), bench.style)
    # A flag lies over the lines behind it, not over another text.
    assert overlapping(scene, 299) == []


@pytest.mark.parametrize(
    ("options", "field", "says"),
    [
        ({"entry": "basalt", "test": "cold"}, "entry", "no run of 'basalt'"),
        ({"entry": "alder", "test": "cold", "figure": "kept"}, "figure", "no figure of every run"),
    ],
)
def test_what_cannot_be_shown_is_told(options: dict[str, str], field: str, says: str) -> None:
    """An entry without runs, and a figure that repeats do not have, name their option."""
    with pytest.raises(OutlineError, match=says) as caught:
        content_of(results_with([70.0, 71.0]), "repeats", **options)
    assert caught.value.field == field


def test_runs_without_the_figure_and_too_many_are_told() -> None:
    """Nothing to show, and more than can be read, are errors with a remedy."""
    with pytest.raises(OutlineError, match="has the figure"):
        content_with([None, None])
    with pytest.raises(OutlineError, match="13 runs cannot be read"):
        content_with([70.0 + i for i in range(13)])
