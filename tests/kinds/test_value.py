"""Value: the frontier is the best to be had for no more, and labels find room."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.axis import Axes, Scale
from overlays.draw.patch import Rect
from overlays.errors import OutlineError
from overlays.kinds._value_scene import ValueContent, frontier_line, value_scene
from overlays.kinds.registry import build
from overlays.kinds.value import Value, frontier
from overlays.model.result import Results
from tests.kinds.conftest import Bench, content_of, cue, stage
from tests.kinds.tables import measured_results, overlapping, texts_at

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]
POINTS = st.lists(st.tuples(st.integers(1, 9), st.integers(-9, 9)), min_size=1, max_size=12)


def content_for(results: Results, **options: object) -> ValueContent:
    content = content_of(results, "value", figure="mean", attribute="price", **options)
    assert isinstance(content, ValueContent)
    return content


@given(points=POINTS, less=st.booleans(), lower=st.booleans())
def test_the_frontier_is_what_nobody_betters(
    points: list[tuple[int, int]], *, less: bool, lower: bool
) -> None:
    """By definition: on it is who has no rival at least as good in both and better in one."""
    found = frontier([(Decimal(a), Decimal(f)) for a, f in points], less=less, lower=lower)
    price, worth = (1 if less else -1), (-1 if lower else 1)
    for index, (a, f) in enumerate(points):
        beaten = any(
            price * (b - a) <= 0 <= worth * (g - f) and (a, f) != (b, g) for b, g in points
        )
        assert (index in found) != beaten
    attributes = [price * points[index][0] for index in found]
    assert attributes == sorted(attributes)


@pytest.mark.parametrize("better", ["lower", "higher"])
@pytest.mark.parametrize("figure", ["lower", "higher"])
def test_the_line_is_the_best_for_no_more(better: str, figure: str) -> None:
    """At any attribute the stepped line has the best figure among entries no worse in it."""
    results = measured_results([12.0, 30.0, 20.0, 41.0, 8.0, 25.0], better=figure)
    content = content_for(results, better=better)
    axes = Axes(Scale(0, 50, 0, 500), Scale(0, 50, 500, 0), Rect(0, 0, 500, 500), "N·m")
    line = frontier_line(content, axes)
    pick = min if figure == "lower" else max
    for (x0, y0), (x1, y1) in zip(line[1::2], line[2::2], strict=False):
        assert y0 == y1
        middle = (x0 + x1) / 20
        no_more = [
            spot.figure
            for spot in content.spots
            if (spot.attribute <= middle if better == "lower" else spot.attribute >= middle)
        ]
        assert y0 == pytest.approx(axes.value.at(pick(no_more)))


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("count", [1, 6, 12])
def test_labels_touch_nothing(bench: Bench, shape: tuple[int, int], count: int) -> None:
    """Up to twelve entries, equal ones among them, each have a label of their own."""
    values = (12.0, -8.5, 40.25, 33.3, 33.3, 21.0, 0.0, 55.1, -2.2, 47.0, 12.5, 12.4)[:count]
    attributes = {i: {"price": f"{10 + 3 * (i // 2)}.50 EUR"} for i in range(count)}
    scene = value_scene(
        content_for(measured_results(values, attributes=attributes)), stage(*shape), bench.style
    )
    assert overlapping(scene, 299) == []
    names = [text for text, _ in texts_at(scene, 299) if text.startswith(("Elm", "Fir", "Gorse"))]
    assert len(names) == sum(1 for i in range(count) if i % 5 in (0, 3, 4))


def test_who_lacks_one_of_both_is_left_out_and_named() -> None:
    """An entry without the attribute, or without the figure, is not drawn; the caption says why."""
    results = measured_results([1.0, None, 3.0], attributes={2: {"mass": "20 g"}})
    content = content_for(results)
    assert [spot.name for spot in content.spots] == ["Elm 0"]
    assert content.caption[-2:] == (
        "without A rather long-winded product name, series two 1: the clamp broke on the way up",
        "without Öhrwurm 2: no price",
    )
    assert Value.describe(content).endswith("for 10.50 €. Bettered by none in both: Elm 0.")


def test_marks_are_true_to_both_rules(bench: Bench) -> None:
    """Every mark's middle is where the two rules say."""
    content = content_for(measured_results([10.0, 30.0]))
    scene = value_scene(content, stage(1920, 1080), bench.style)
    colours = [bench.style.colours.entry(spot.colour).rgb for spot in content.spots]
    marks = []
    for colour in colours:
        layer = next(
            x for x in scene.layers(299)
            if not x.patch.written and x.patch.width == x.patch.height
            and tuple(x.patch.pixels[x.patch.height // 2, x.patch.width // 2, :3]) == colour
        )  # fmt: skip
        box = layer.covers
        marks.append(((box.left + box.right) / 2, (box.top + box.bottom) / 2))
    numbers = {text: rect for text, rect in texts_at(scene, 299) if text in ("10", "30", "15")}
    # Numbers on the upright rule are centred at their ticks.
    ten, thirty = ((numbers[key].top + numbers[key].bottom) / 2 for key in ("10", "30"))
    assert marks[1][1] == pytest.approx(thirty, abs=2)
    assert marks[0][1] - marks[1][1] == pytest.approx(ten - thirty, abs=3)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"attribute": "prize"}, "Did you mean 'price'?"),
        ({"attribute": "mass", "entries": ["e0"]}, "no entry of this cue has both"),
    ],
)
def test_what_nobody_has_is_refused(options: dict[str, object], says: str) -> None:
    """An attribute that no entry has, or none of the cue's, is told."""
    results = measured_results([1.0, 2.0], attributes={1: {"mass": "20 g"}})
    overlay = build(cue("value", figure="mean", **options), results.session)
    with pytest.raises(OutlineError) as caught:
        overlay.content(results)
    assert says in str(caught.value)
    assert caught.value.field == "attribute"


def test_prices_in_two_currencies_are_refused() -> None:
    """Nobody assumes an exchange rate."""
    results = measured_results([1.0, 2.0], attributes={1: {"price": "20 USD"}})
    overlay = build(cue("value", figure="mean", attribute="price"), results.session)
    with pytest.raises(OutlineError, match="'price' of 'e1' cannot stand beside the others"):
        overlay.content(results)
