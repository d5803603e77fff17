"""Footnote: what the session knows of how it was measured, whole and large enough to be read."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from overlays.checks.words import judge_legibility, judge_reading
from overlays.checks.writing import Showings, lines_on
from overlays.draw.canvas import draw_alone
from overlays.draw.page import Page
from overlays.errors import OutlineError, ProblemsFound
from overlays.kinds._footnote_scene import FootnoteContent, footnote_scene
from overlays.kinds.footnote import Footnote
from overlays.model.result import Results
from overlays.model.run import RunRef
from overlays.style.house import load_style
from tests.kinds.conftest import Bench, content_of, make_repeats, make_results, stage
from tests.kinds.tables import overlapping, texts_at

SHAPES = ((1920, 1080), (1080, 1920), (1080, 1080), (3840, 2160))
FRAMES = 300
CAUTIONS = (
    "Keep clear of the flywheel until it is still.",
    "A bench compares pads with each other; it says nothing about safety on the road.",
)
SLIPPED = RunRef(
    "dune", "cold", 3, Path("x"), "x",
    note="Lever clamp slipped. Ask Jo.", use=False,
)  # fmt: skip


def cautioned() -> Results:
    """The bench with two cautions, a word on what counts, and one run of Dune left out."""
    made = make_results()
    spec = made.session.spec
    cold = spec.tests["cold"].model_copy(update={"counts": "mean torque from 1 s to 5 s"})
    episode = spec.episode.model_copy(update={"cautions": CAUTIONS})
    session = replace(
        made.session,
        spec=spec.model_copy(update={"episode": episode, "tests": {"cold": cold}}),
    )
    dune = replace(
        make_repeats("dune", runs=2),
        left_out=(SLIPPED,),
        median=0,
        remark="lower middle of 2",
    )
    return replace(made, session=session, repeats={**made.repeats, ("dune", "cold"): dune})


def content_with(results: Results, **options: object) -> FootnoteContent:
    content = content_of(results, "footnote", **options)
    assert isinstance(content, FootnoteContent)
    return content


def test_a_test_tells_all_that_was_done_and_left_out() -> None:
    """What counts, which run, filters, too few repeats and the run left out, with its reason."""
    content = content_with(cautioned(), test="cold")
    assert content.said == (
        "Cold stop: mean torque from 1 s to 5 s",
        "middle of three runs; where there are two, the lower",
        "brake torque: zeroed, 20 Hz zero-phase",
        "fewer runs than planned: Dune 2 of 3",
        "left out: Dune run 3 (Lever clamp slipped)",
    )
    whole = content_with(cautioned(), test="cold", entries=["alder"], caution=2, text=" Own  words")
    assert whole.said == (
        "Cold stop, Alder: mean torque from 1 s to 5 s",
        "middle of three runs",
        "brake torque: zeroed, 20 Hz zero-phase",
    )
    assert Footnote.describe(whole) == (
        f"{'; '.join(whole.said)}. Own words. Caution: {CAUTIONS[1]}"
    )


def test_a_trace_that_nothing_was_done_to_says_so() -> None:
    """Without a filter it is as logged: no filter is claimed, and none is hidden."""
    made = make_results()
    whole = make_repeats("alder")
    runs = tuple(
        replace(run, traces={"torque": replace(run.traces["torque"], steps=())})
        for run in whole.runs
    )
    results = replace(made, repeats={("alder", "cold"): replace(whole, runs=runs)})
    content = content_with(results, test="cold")
    assert content.said == ("Cold stop", "middle of three runs", "brake torque: as logged")


@pytest.mark.parametrize("style", ["rule", "paper"])
@pytest.mark.parametrize("shape", SHAPES)
def test_every_word_stands_whole_and_legible(style: str, shape: tuple[int, int]) -> None:
    """No word is cut or lost, none lies over another, size and contrast pass over any picture."""
    content = content_with(cautioned(), test="cold", caution=[1, 2], text="Rotor dried. " * 12)
    scene = footnote_scene(content, stage(*shape, frames=FRAMES), load_style(style))
    lines = [text for text, _ in texts_at(scene, FRAMES - 1)]
    shown = " ".join(lines).replace("·", " ").split()
    said = [*content.said, content.text, *(f"Caution: {text}" for text in content.cautions)]
    assert shown == " ".join(said).split()
    assert overlapping(scene, FRAMES - 1) == []
    pixels = draw_alone(scene, FRAMES - 1)
    found = judge_legibility(lines_on(scene.layers(FRAMES - 1)), pixels)
    assert {finding.verdict for finding in found} == {"pass"}


@pytest.mark.parametrize("shape", SHAPES)
def test_the_longest_footnote_keeps_to_the_floor_and_the_safe_area(
    bench: Bench, shape: tuple[int, int]
) -> None:
    """Eight hundred characters wrap inside the graphics-safe area in the smallest type there is."""
    content = content_with(bench.results, text="m " * 250, test="cold")
    content = replace(content, cautions=("word " * 60,))
    scene = footnote_scene(content, stage(*shape, frames=FRAMES), bench.style)
    page = Page(*shape, bench.style)
    sizes = {w.size for layer in scene.layers(FRAMES - 1) for w in layer.patch.written}
    assert sizes == {page.px(bench.style.type.floor)}
    for layer in scene.layers(FRAMES - 1):
        assert layer.covers.meet(page.graphics) == layer.covers


def test_a_text_without_spaces_is_broken_and_not_cut(bench: Bench) -> None:
    """Ideographs, and a word wider than the strip, go on in the next line, every sign of them."""
    pytest.importorskip("noto_cjk_sans_jp_regular")
    text = "試験は一台の装置で行い路上の安全については何も言わない。" * 6
    for said in (text, "Bremsenprüfstandsschwungradgehäuse" * 8, "e\u0301" * 200):
        content = content_with(bench.results, text=said)
        scene = footnote_scene(content, stage(1080, 1920, frames=FRAMES), bench.style)
        lines = [line for line, _ in texts_at(scene, FRAMES - 1)]
        assert "".join(lines) == said
        assert len(lines) > 1
        assert not any(line.startswith("\u0301") for line in lines)


def test_a_short_footnote_is_no_wider_than_its_words(bench: Bench) -> None:
    """The strip of three words leaves the picture its width, in the style's small type."""
    content = content_with(bench.results, text="Rotor dried first.")
    scene = footnote_scene(content, stage(1920, 1080, frames=FRAMES), bench.style)
    inked = np.flatnonzero((draw_alone(scene, FRAMES - 1)[..., 3] > 0).any(axis=0))
    assert inked[0] == 96
    assert inked[-1] < 500
    (line,) = [w for layer in scene.layers(FRAMES - 1) for w in layer.patch.written]
    assert line.size == bench.style.type.small


def test_its_natural_length_is_enough_to_read_it(bench: Bench) -> None:
    """At the length it asks for, the reading-time check has nothing to say."""
    for options in ({"test": "cold"}, {"test": "cold", "caution": [1, 2]}, {"caution": 2}):
        content = content_with(cautioned(), **options)
        frames = round(Footnote.natural_s(content) * 30)
        scene = footnote_scene(content, stage(1920, 1080, frames=frames), bench.style)
        shown = Showings()
        for frame in range(frames):
            shown.add(frame, scene.layers(frame))
        quiet = bench.style.colours.quiet
        found = judge_reading(
            shown.until(frames),
            rate=stage(1920, 1080).rate,
            floor_px=22,
            quiet=(*quiet.rgb, quiet.alpha),
        )
        assert found.verdict == "pass", found.message


@pytest.mark.parametrize(
    ("options", "code", "field"),
    [
        ({}, "nothing-to-show", "text"),
        ({"text": "  "}, "nothing-to-show", "text"),
        ({"caution": 3}, "no-caution", "caution"),
        ({"text": "word " * 100, "caution": [1, 2], "test": "cold"}, "too-much-text", "text"),
        ({"test": "cold", "entries": ["basalt"]}, "no-run", "entries"),
    ],
)
def test_what_cannot_be_shown_is_told_with_its_option(
    options: dict[str, object], code: str, field: str
) -> None:
    """Nothing, too much, and a caution or run that is not there: one error each, with a remedy."""
    results = cautioned()
    known = {key: runs for key, runs in results.repeats.items() if key[0] != "basalt"}
    with pytest.raises(OutlineError) as caught:
        content_with(replace(results, repeats=known), **options)
    assert (caught.value.code, caught.value.field) == (code, field)
    assert caught.value.remedy


def test_options_of_a_wrong_kind_are_refused() -> None:
    """A caution that is no number from 1, and a test that is not there, are told at once."""
    for options in ({"caution": 0}, {"caution": "road"}, {"test": "hot"}, {"note": "x"}):
        with pytest.raises(ProblemsFound):
            content_with(make_results(), **options)
    with pytest.raises(OutlineError) as caught:
        content_with(make_results(repeats={}), test="cold")
    assert (caught.value.code, caught.value.field) == ("no-run", "test")
