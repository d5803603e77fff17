"""Claim: rules as long as what is claimed, bars as what was measured, and one percentage."""

from __future__ import annotations

import pytest

from overlays.errors import OutlineError
from overlays.kinds._claim_scene import ClaimContent, claim_scene
from overlays.kinds.claim import Claim
from overlays.kinds.registry import build
from overlays.model.result import Results
from tests.kinds.conftest import Bench, content_of, cue, stage
from tests.kinds.tables import measured_results, overlapping, texts_at

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]
MANY = (12.0, -8.5, 40.25, None, 33.3, 33.3, 71.0, 0.0, 55.1, -2.2, 47.0, 12.5)


def content_for(results: Results, **options: object) -> ClaimContent:
    options = {"figure": "mean", "claim": "claimed_torque"} | options
    content = content_of(results, "claim", **options)
    assert isinstance(content, ClaimContent)
    return content


@pytest.mark.parametrize("shape", SHAPES)
def test_lengths_are_true(bench: Bench, shape: tuple[int, int]) -> None:
    """Bars and rules of all entries have one scale: so many pixels to a newton metre."""
    content = content_for(measured_results([30.0, 61.0, 70.0]))
    scene = claim_scene(content, stage(*shape), bench.style)
    layers = scene.layers(299)
    steel = bench.style.colours.steel.rgb
    rules = [x.covers for x in layers if tuple(x.patch.pixels[0, 0, :3]) == steel]
    colours = [bench.style.colours.entry(row.colour).rgb for row in content.rows]
    bars = [x.covers for x in layers if tuple(x.patch.pixels[0, 0, :3]) in colours]
    per_unit = (rules[2].right - rules[2].left) / 62.0
    lengths = [(box.right - box.left) / per_unit for box in (*rules, *bars)]
    assert lengths == pytest.approx([60.0, 61.0, 62.0, 30.0, 61.0, 70.0], abs=0.3)


def test_the_percentage_is_that_of_the_numbers_as_shown() -> None:
    """Whoever divides what is on screen gets what is on screen, halves away from zero."""
    content = content_for(measured_results([30.04, 61.0, -31.0]))
    assert [row.percent for row in content.rows] == ["50", "100", "-50"]
    assert content.rows[0].measured_text == "30.0"


def test_the_percentage_is_the_session_s_own_where_there_is_one(bench: Bench) -> None:
    """A ratio figure of the same two is shown as it is everywhere else, and counts as shown."""
    content = content_for(bench.results)
    assert [(row.name, row.percent) for row in content.rows] == [("Alder", "94")]
    assert ("kept", "alder") in content.figures
    assert Claim.describe(content).startswith("Cold stop: Alder 70.2 of 75 N·m claimed, 94 %")


def test_units_are_converted() -> None:
    """A claim in another unit of the same kind is set against the figure in the figure's unit."""
    given = {0: {"claimed_torque": "0.06 kN*m"}}
    (row,) = content_for(measured_results([30.0], attributes=given)).rows
    assert (row.claimed, row.claimed_text, row.percent) == (60.0, "60.0", "50")


@pytest.mark.parametrize("shape", SHAPES)
def test_many_rows_overlap_nothing(bench: Bench, shape: tuple[int, int]) -> None:
    """Twelve entries, one without a figure and some below zero, fit, and no two texts touch."""
    scene = claim_scene(content_for(measured_results(MANY)), stage(*shape), bench.style)
    assert overlapping(scene, 299) == []
    texts = [text for text, _ in texts_at(scene, 299)]
    assert "−14" in texts
    assert "12.0 of 60\N{NO-BREAK SPACE}N·m" in texts


def test_more_than_claimed_shows_the_mark_through_the_bar(bench: Bench) -> None:
    """A bar longer than its rule is marked where the claim ends."""
    content = content_for(measured_results([70.0, 50.0]))
    scene = claim_scene(content, stage(1920, 1080), bench.style)
    dark = bench.style.colours.on_entry.rgb
    marks = [x.covers for x in scene.layers(299) if tuple(x.patch.pixels[0, 0, :3]) == dark
             and x.patch.width < 4]  # fmt: skip
    assert len(marks) == 1


@pytest.mark.parametrize(
    ("options", "says", "field"),
    [
        ({"claim": "claimed_torke"}, "Did you mean 'claimed_torque'?", "claim"),
        ({"entries": ["basalt"]}, "'basalt' has no attribute", "claim"),
        ({"claim": "mass"}, "cannot be set against 'mean'", "claim"),
    ],
)
def test_what_cannot_be_claimed_is_refused(
    bench: Bench, options: dict[str, object], says: str, field: str
) -> None:
    """An unknown attribute, an entry that claims nothing and another unit are told by name."""
    given = {"figure": "mean", "claim": "claimed_torque"} | options
    overlay = build(cue("claim", **given), bench.results.session)
    with pytest.raises(OutlineError) as caught:
        overlay.content(bench.results)
    assert says in str(caught.value)
    assert caught.value.field == field
