"""Head to head: mirrored true to scale, and no gap called real that is not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from overlays.draw.canvas import draw_alone
from overlays.draw.page import Page
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds._versus_content import HeadToHeadContent
from overlays.kinds._versus_scene import versus_scene
from overlays.kinds.head_to_head import HeadToHead
from overlays.kinds.registry import build
from overlays.model.result import Results
from overlays.scoring.gap import gap_between
from tests.kinds.conftest import Bench, content_of, cue, stage
from tests.kinds.pictured import COLOURS, found, save_cut_out, with_pictures
from tests.kinds.tables import measured_results, overlapping, texts_at

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080)]


def content_for(results: Results, **options: object) -> HeadToHeadContent:
    given = {"entries": ["e0", "e1"], "figures": ["mean"]} | options
    content = content_of(results, "head_to_head", **given)
    assert isinstance(content, HeadToHeadContent)
    return content


@pytest.mark.parametrize(
    ("values", "scatter", "n", "lead", "by", "real", "says"),
    [
        ((30.0, 20.0), 0.5, 3, "Elm 0", "10.0", True, "beyond chance"),
        ((20.0, 21.0), 5.0, 3, "A rather", "1.0", False, "call it a tie"),
        ((30.0, 20.0), 0.5, 1, "Elm 0", "10.0", None, "on single runs"),
        ((20.0, 20.0), 0.5, 3, "", "", False, "level as shown"),
    ],
)
def test_the_verdict_is_that_of_the_repeats(
    values: tuple[float, float],
    scatter: float,
    n: int,
    lead: str,
    by: str,
    *,
    real: bool | None,
    says: str,
) -> None:
    """Who leads, by how much and whether that is real comes from the statistics, in few words."""
    results = measured_results(values, scatter=scatter, n=n)
    (row,) = content_for(results).rows
    gap = gap_between(results, "mean", "e0", "e1")
    assert row.lead.startswith(lead)
    assert (row.by, row.real) == (by, real) == (gap.shown.lstrip("-") if lead else "", gap.real)
    assert says in row.verdict
    assert says in HeadToHead.describe(content_for(results))


def test_the_lower_one_leads_where_lower_is_better() -> None:
    """With lower values better the smaller leads, and the row says which way."""
    (row,) = content_for(measured_results([2.0, 9.0], better="lower")).rows
    assert row.ahead == 0
    assert row.label == "cold stop, lower is better"


def test_few_runs_are_said_once() -> None:
    """Three runs each leave a doubt, which the caption says; six do not."""
    doubt = "few runs: likely, not certain"
    assert doubt in content_for(measured_results([30.0, 20.0])).caption
    assert doubt not in content_for(measured_results([30.0, 20.0], n=6)).caption


def test_a_missing_figure_is_not_compared() -> None:
    """Where one has no figure there is a dash and the reason, and nobody leads."""
    (row,) = content_for(measured_results([30.0, None])).rows
    assert (row.texts, row.lead, row.real) == (("30.0", "–"), "", None)
    assert row.verdict.endswith("series two 1: the clamp broke on the way up")


@pytest.mark.parametrize("values", [(40.0, 20.0), (-40.0, -20.0), (20.0, 20.0)])
@pytest.mark.parametrize("shape", SHAPES)
def test_bars_mirror_each_other(
    bench: Bench, values: tuple[float, float], shape: tuple[int, int]
) -> None:
    """Both bars grow outwards from the axis on one scale, the one below zero as well."""
    content = content_for(measured_results(values))
    scene = versus_scene(content, stage(*shape), bench.style)
    colours = [bench.style.colours.entry(side.colour).rgb for side in content.sides]
    left, right = (
        layer.covers
        for layer in scene.layers(299)[3:]
        if tuple(layer.patch.pixels[0, 0, :3]) in colours
    )
    lengths = (left.right - left.left, right.right - right.left)
    assert lengths[0] / lengths[1] == pytest.approx(values[0] / values[1], abs=0.02)
    assert 0 < right.left - left.right < 12


@pytest.mark.parametrize("shape", SHAPES)
def test_five_rows_with_long_names_overlap_nothing(bench: Bench, shape: tuple[int, int]) -> None:
    """Five figures, long names, notes and verdicts fit, and no two texts touch."""
    content = content_for(measured_results([30.0, 20.0]), title="Who holds on?")
    note = "a note that goes on for quite a while"
    sides = (replace(content.sides[0], name="A name without end " * 4, note=note),
             replace(content.sides[1], note=note))  # fmt: skip
    row = replace(content.rows[0], by_unit="percentage points", lead="A name of some length")
    many = replace(
        content, sides=sides, rows=(row,) * 5, caption=("middle of three runs", "x " * 20)
    )
    scene = versus_scene(many, stage(*shape), bench.style)
    assert overlapping(scene, 299) == []
    safe_bottom = shape[1] - round(shape[1] * 0.05)
    assert max(rect.bottom for _, rect in texts_at(scene, 299)) <= safe_bottom


def test_what_cannot_be_compared_is_refused() -> None:
    """One entry twice, nothing measured and six figures are each told."""
    results = measured_results([None, None])
    for options, says in (
        ({"entries": ["e0", "e0"]}, "both entries are 'e0'"),
        ({"entries": ["e0", "e1"], "figures": ["mean"]}, "no figure of 'e0' and 'e1'"),
    ):
        with pytest.raises(OutlineError, match=says):
            build(cue("head_to_head", **options), results.session).content(results)
    with pytest.raises(ProblemsFound, match="at most 5"):
        build(cue("head_to_head", entries=["e0", "e1"], figures=["mean"] * 6), results.session)


def test_the_figures_of_the_points_are_compared_by_default(bench: Bench) -> None:
    """Without figures those that earn points are shown, each once."""
    content = content_of(bench.results, "head_to_head", entries=["alder", "basalt"])
    assert isinstance(content, HeadToHeadContent)
    assert [row.label for row in content.rows] == ["cold stop", "claim kept"]
    assert content.rows[1].verdict == "Basalt: never measured"


@pytest.mark.parametrize("shape", [(1920, 1080), (1080, 1920), (1080, 1080), (720, 160)])
@pytest.mark.parametrize("size", [(400, 300), (100, 900), (1600, 200)])
def test_each_side_shows_its_picture_on_the_panel(
    bench: Bench, tmp_path: Path, shape: tuple[int, int], size: tuple[int, int]
) -> None:
    """Pictures lie at their own side, inside the safe area, and cover no text."""
    for entry in ("alder", "basalt"):
        save_cut_out(tmp_path / f"{entry}.png", COLOURS[entry], size)
    results = with_pictures(bench.results, tmp_path, alder="alder.png", basalt="basalt.png")
    content = content_of(results, "head_to_head", entries=["alder", "basalt"], figures=["mean"])
    assert isinstance(content, HeadToHeadContent)
    scene = versus_scene(content, stage(*shape), bench.style)
    pixels = draw_alone(scene, 299)
    left, right = found(pixels, "alder"), found(pixels, "basalt")
    safe = Page(*shape, bench.style).graphics
    assert left.meet(safe) == left
    assert right.meet(safe) == right
    assert 0 < left.right < right.left
    assert all(rect.meet(left).empty and rect.meet(right).empty for _, rect in texts_at(scene, 299))


def test_pictures_give_way_to_rows(bench: Bench, tmp_path: Path) -> None:
    """Where rows need the room of the pictures, the rows have it."""
    save_cut_out(tmp_path / "alder.png", COLOURS["alder"])
    results = with_pictures(bench.results, tmp_path, alder="alder.png")
    content = content_of(results, "head_to_head", entries=["alder", "basalt"], figures=["mean"])
    assert isinstance(content, HeadToHeadContent)
    for rows, shown in ((2, True), (6, False)):
        scene = versus_scene(
            replace(content, rows=content.rows * rows), stage(1080, 1080), bench.style
        )
        assert found(draw_alone(scene, 299), "alder").empty is not shown


def test_one_picture_alone_moves_only_its_own_side(bench: Bench, tmp_path: Path) -> None:
    """On a wide canvas the side without a picture keeps its name at the panel's edge."""
    save_cut_out(tmp_path / "basalt.png", COLOURS["basalt"])
    options = {"entries": ["alder", "basalt"], "figures": ["mean"]}
    heads = []
    for results in (bench.results, with_pictures(bench.results, tmp_path, basalt="basalt.png")):
        content = content_of(results, "head_to_head", **options)
        assert isinstance(content, HeadToHeadContent)
        scene = versus_scene(content, stage(1920, 1080), bench.style)
        heads.append(dict(texts_at(scene, 299)))
    plain, pictured = heads
    assert pictured["Alder"].left == plain["Alder"].left
    assert pictured["Basalt"].right < plain["Basalt"].right - 100
