"""Test card: what the session declares of a test, its windows true along the rule."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from overlays.draw.canvas import draw_alone
from overlays.draw.page import Page
from overlays.draw.patch import Pixels
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds._test_content import Counted, TestCardContent, Window, windows_of
from overlays.kinds._test_scene import scene_of_test
from overlays.kinds.registry import build
from overlays.kinds.test_card import TestCard
from overlays.model.result import Results
from overlays.model.session import SessionSpec
from overlays.style.house import Style, load_style, style_names
from tests.kinds.conftest import SPEC, Bench, content_of, cue, make_repeats, stage
from tests.kinds.pictured import COLOURS, found, save_cut_out, with_pictures
from tests.kinds.tables import overlapping, texts_at

SHAPES = [(1920, 1080), (1080, 1920), (1080, 1080), (3840, 2160)]
MANY = (
    Window("cold stop: mean", 1.0, 5.0),
    Window("cold, early: highest; the same window again: lowest", 0.0, 2.0),
    Window("cold, late: value", 5.5, 5.5),
    Window("all of it: area", 0.0, 6.0),
)


def card_of(results: Results, **options: object) -> TestCardContent:
    content = content_of(results, "test_card", **{"test": "cold"} | options)
    assert isinstance(content, TestCardContent)
    return content


def spec_with(**tables: Any) -> SessionSpec:
    """The bench's session with other tables, or with more keys in them."""
    merged = {key: {**SPEC[key], **table} for key, table in tables.items()}
    episode = {**SPEC["episode"], "date": "2026-03-21"}
    return SessionSpec.model_validate_json(json.dumps({**SPEC, **merged, "episode": episode}))


def declared(bench: Bench, **tables: Any) -> Results:
    return replace(bench.results, session=replace(bench.results.session, spec=spec_with(**tables)))


def figure(take: str, **keys: str) -> dict[str, str]:
    return {"label": take, "take": take, "test": "cold", "channel": "torque", **keys}


def test_the_card_says_length_runs_and_what_counts(bench: Bench) -> None:
    """Points count from a figure of the test, directly or through a ratio, with their direction."""
    cold = {**SPEC["tests"]["cold"], "counts": "mean torque", "method": "A dry rotor.",
            "caution": "Keep clear."}  # fmt: skip
    content = card_of(declared(bench, tests={"cold": cold}))
    assert (content.title, content.length, content.repeats) == ("Cold stop", (6.0, "6", "s"), 3)
    assert content.rows == (
        Counted("cold stop", "higher is better", "30"),
        Counted("claim kept", "higher is better", "15"),
    )
    assert content.windows == (Window("cold stop: mean", 1.0, 5.0),)
    assert TestCard.describe(content) == (
        "Cold stop: 6 s, 3 runs each of Alder, Basalt, Cobble, Dune. A dry rotor. Caution: Keep "
        "clear. What counts: mean torque. Cold stop, higher is better, 30 points. Claim kept, "
        "higher is better, 15 points."
    )


def test_points_taken_away_are_negative_and_the_better_way_is_told(bench: Bench) -> None:
    """A penalty takes away; its weight counts; a figure of which less is better says so."""
    results = declared(
        bench,
        figures={"slow": figure("time_to", level="40 N*m") | {"better": "lower"}},
        points={"slow": {"figure": "slow", "rule": "penalty", "most": 5, "weight": 2,
                         "none_at": "0 s", "most_at": "2 s"}},
    )  # fmt: skip
    content = card_of(results, columns=["slow"])
    assert content.rows == (Counted("time_to", "lower is better", "-10"),)
    assert content.windows[0].label == "time_to: time to 40\N{NO-BREAK SPACE}N·m"


def test_a_test_without_points_shows_its_main_figure(bench: Bench) -> None:
    """What is not scored still has a figure by which its runs are judged."""
    spec = spec_with().model_copy(update={"points": {}})
    content = card_of(replace(bench.results, session=replace(bench.results.session, spec=spec)))
    assert content.rows == (Counted("cold stop", "higher is better", ""),)


def test_fewer_runs_than_planned_are_told_once_there_are_any(bench: Bench) -> None:
    """Two of three runs, or none beside others', are told; before the first run nothing is."""
    repeats = {("alder", "cold"): make_repeats("alder"),
               ("dune", "cold"): make_repeats("dune", runs=2)}  # fmt: skip
    content = card_of(replace(bench.results, repeats=repeats))
    assert content.fewer == (("Basalt", 0), ("Cobble", 0), ("Dune", 2))
    assert "; Basalt: 0; Cobble: 0; Dune: 2." in TestCard.describe(content)
    scene = scene_of_test(content, stage(1920, 1080), bench.style)
    assert "Dune: 2" in " ".join(text for text, _ in texts_at(scene, 299))
    assert card_of(bench.results).fewer == ()
    assert card_of(replace(bench.results, repeats={})).fewer == ()


def test_windows_are_those_of_the_figures_a_score_is_made_of() -> None:
    """Looked up through ratios, in the unit of the test's length, equal ones as one."""
    figures = {
        "mean": figure("mean", start="1 s", end="5000 ms"),
        "high": figure("peak", start="1 s", end="5 s"),
        "whole": figure("area"),
        "now": figure("at", at="5.5 s"),
        "fade": figure("fade", start="0 s", end="1 s", then_start="4 s", then_end="9 s"),
        "pair": {"label": "pair", "take": "ratio", "of": "high", "by": "now"},
    }
    spec = spec_with(figures=figures)
    assert windows_of(spec, "cold", ("mean", "pair")) == (
        Window("mean: mean; peak: highest", 1.0, 5.0),
        Window("at: value", 5.5, 5.5),
    )
    # A window without ends is the whole test; what lies beyond the test ends with it.
    assert windows_of(spec, "cold", ("whole", "fade")) == (
        Window("fade: mean, then and now", 0.0, 1.0),
        Window("area: area", 0.0, 6.0),
        Window("fade: mean, then and now", 4.0, 6.0),
    )
    long = {"cold": {**SPEC["tests"]["cold"], "length": "2 min"}}
    spec = spec_with(tests=long, figures={"mean": figure("mean", start="30 s", end="90 s")})
    assert windows_of(spec, "cold", ("mean",)) == (Window("mean: mean", 0.5, 1.5),)


def ticks_of(pixels: Pixels, style: Style) -> list[float]:
    """Read the middles of the numbered ticks off the rule at the foot of a card."""
    foot = np.flatnonzero((pixels[..., 3] > 0).any(axis=1))[-1]
    # Only they are so long: the others end higher up, and digits lie lower.
    body = pixels[foot - 42 : foot - 10].astype(int)
    dark = np.abs(body - (*style.colours.engraved.rgb, 255)).max(axis=-1) < 40
    dark = dark.all(axis=0)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    return [(a + b) / 2 for a, b in edges.reshape(-1, 2)]


@pytest.mark.parametrize("name", style_names())
@pytest.mark.parametrize("shape", [(1920, 1080), (1080, 1920), (1080, 1080)])
def test_windows_lie_true_along_the_rule(bench: Bench, shape: tuple[int, int], name: str) -> None:
    """Measured against the ruled ticks in the picture, the bar goes from 1 s to 5 s."""
    style = load_style(name)
    pixels = draw_alone(scene_of_test(card_of(bench.results), stage(*shape), style), 299)
    rows = np.flatnonzero((pixels[..., 3] > 0).any(axis=1))
    above = pixels[rows[-1] - 44 - 4]
    bar = np.flatnonzero((above[:, :3] == style.colours.ink.rgb).all(axis=-1))
    ticks = ticks_of(pixels, style)
    assert len(ticks) == 7
    assert np.diff(ticks) == pytest.approx((ticks[-1] - ticks[0]) / 6, abs=1.01)
    assert bar[0] == pytest.approx(ticks[1], abs=2)
    assert bar[-1] + 1 == pytest.approx(ticks[5], abs=2)


@pytest.mark.parametrize("shape", [*SHAPES, (720, 160), (160, 720)])
def test_no_text_meets_another_however_much_there_is(bench: Bench, shape: tuple[int, int]) -> None:
    """Long words, many windows and rows: everything inside the safe area, no text on another."""
    content = replace(
        card_of(bench.results),
        title="A test whose name goes on and on and on and on until it has to be cut",
        method="This is how it is done, at some length, so that it takes more than a line. " * 4,
        caution="Keep well clear of everything that turns, burns, leaps or is under pressure. " * 2,
        counts="what comes out of it in the end, all things considered, and then some " * 3,
        fewer=(("Basalt", 2), ("A rather long name", 1), ("Dune", 0)),
        windows=MANY,
        rows=tuple(Counted(f"a figure with a long name {n}", "lower is better", "-12.5")
                   for n in range(5)),
    )  # fmt: skip
    scene = scene_of_test(content, stage(*shape), bench.style)
    assert overlapping(scene, 299) == []
    safe = Page(*shape, bench.style).graphics
    assert all(rect.meet(safe) == rect for _, rect in texts_at(scene, 299))
    alpha = draw_alone(scene, 299)[..., 3].copy()
    alpha[safe.top : safe.bottom, safe.left : safe.right] = 0
    assert not alpha.any()


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("size", [(400, 300), (100, 900), (1600, 200)])
def test_the_logo_stands_clear_of_all_words(
    bench: Bench, tmp_path: Path, shape: tuple[int, int], size: tuple[int, int]
) -> None:
    """Whatever its proportions it lies on the panel and covers no text; it can be left away."""
    save_cut_out(tmp_path / "logo.png", COLOURS["logo"], size)
    results = with_pictures(bench.results, tmp_path, logo="logo.png")
    content = replace(card_of(results), counts="mean torque over four seconds", method="Dry. " * 9)
    scene = scene_of_test(content, stage(*shape), bench.style)
    box = found(draw_alone(scene, 299), "logo")
    assert not box.empty
    assert box.meet(Page(*shape, bench.style).graphics) == box
    assert all(rect.meet(box).empty for _, rect in texts_at(scene, 299))
    assert card_of(results, logo=False).logo is None


def test_a_column_of_another_test_is_told(bench: Bench) -> None:
    """A points column that this test has no part in is an error that names those it has."""
    results = declared(
        bench,
        figures={"price": {"label": "price", "take": "attribute", "attribute": "price"}},
        points={"price": {"figure": "price", "most": 5}},
    )
    overlay = build(cue("test_card", test="cold", columns=["price"]), results.session)
    with pytest.raises(OutlineError, match=r"'price' is not counted from 'cold'; .* cold, claim"):
        overlay.content(results)


def test_a_misspelt_test_is_told_with_its_line(bench: Bench) -> None:
    """The option's line, and what was meant."""
    with pytest.raises(ProblemsFound) as caught:
        build(cue("test_card", test="clod"), bench.results.session)
    assert (caught.value.found[0].code, caught.value.found[0].line) == ("unknown-test", 41)


def test_more_than_can_be_read_is_told(bench: Bench) -> None:
    """Too many columns, or too many windows, ask for a choice."""
    figures = {f"f{n}": figure("mean", start=f"0.{n} s", end="5 s") for n in range(7)}
    points = {f"p{n}": {"figure": f"f{n}", "most": 5} for n in range(7)}
    results = declared(bench, figures=figures, points=points)
    with pytest.raises(OutlineError) as caught:
        card_of(results)
    assert caught.value.code == "too-many-columns"
    pairs = {
        "s0": {"label": "s", "take": "difference", "of": "f0", "by": "f1"},
        "s1": {"label": "s", "take": "difference", "of": "f2", "by": "f3"},
        "s2": {"label": "s", "take": "difference", "of": "f4", "by": "f5"},
        "s3": {"label": "s", "take": "difference", "of": "f6", "by": "s2"},
    }
    points |= {f"q{n}": {"figure": f"s{n}", "most": 5} for n in range(4)}
    results = declared(bench, figures=figures | pairs, points=points)
    with pytest.raises(OutlineError) as caught:
        card_of(results, columns=["q0", "q1", "q3"])
    assert caught.value.code == "too-many-windows"
