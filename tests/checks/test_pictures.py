"""What a frame shows: numbers as set, colours that can be told apart, footage behind."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from overlays.checks.footage import still_of
from overlays.checks.pictures import judge_curves, judge_entry_colours, read_numbers
from overlays.checks.writing import lines_on
from overlays.draw.canvas import draw_alone
from overlays.kinds.registry import kinds
from overlays.style.house import load_style
from tests.checks.clips import clip_of, write
from tests.kinds.conftest import content_of, make_results, stage

STYLE = load_style("rule")


def test_numbers_in_the_picture_are_read_and_small_ones_taken_as_set() -> None:
    """At 1080 lines digits are read; at 180 they are too small, and what was set is believed."""
    content = content_of(make_results(), "lower_third", entry="alder", figures=["mean"])
    for size, how_many in (((1920, 1080), 1), ((320, 180), 0)):
        scene = kinds()["lower_third"].lay_out(content, stage(*size), STYLE)
        read = read_numbers(lines_on(scene.layers(299)), draw_alone(scene, 299))
        assert "70.2" in read.texts
        assert read.finding.message == f"{how_many} numbers in the picture read as they were set."


def test_a_number_painted_over_is_found_out() -> None:
    """Where other digits stand than were set, both are told."""
    content = content_of(make_results(), "lower_third", entry="alder", figures=["mean"])
    scene = kinds()["lower_third"].lay_out(content, stage(1920, 1080), STYLE)
    pixels = draw_alone(scene, 299)
    (line,) = (line for line in lines_on(scene.layers(299)) if line.text == "70.2")
    half = (line.rect.left + line.rect.right) // 2
    pixels[line.rect.top : line.rect.bottom, half : line.rect.right + 2] = pixels[
        line.rect.top - 3, half
    ]
    read = read_numbers(lines_on(scene.layers(299)), pixels, frame=5)
    assert read.finding.verdict == "fail"
    assert "where '70.2' was set" in read.finding.message


def test_entries_that_share_a_colour_are_a_caution() -> None:
    """With more entries than the palette has colours nobody can tell which is which."""
    content = content_of(make_results(), "curves", test="cold", entries=["alder", "basalt"])
    two = STYLE.model_copy(
        update={"colours": STYLE.colours.model_copy(
            update={"entries": (STYLE.colours.entries[0],) * 2})}
    )  # fmt: skip
    found = judge_entry_colours(content, two)
    assert [item.verdict for item in found] == ["pass", "caution"]
    assert found[1].message.startswith("Alder and Basalt have the same colour")
    assert [item.verdict for item in judge_entry_colours(content, STYLE)] == ["pass"]


def test_only_colours_that_are_in_the_frame_are_judged() -> None:
    """Entries whose colours appear nowhere cannot be mistaken."""
    content = content_of(make_results(), "curves", test="cold")
    (found,) = judge_entry_colours(content, STYLE, np.zeros((9, 9, 4), np.uint8))
    assert "0 colours" in found.message


def test_an_overlay_without_curves_is_not_held_to_any() -> None:
    """A card draws no trace; before curves begin there is nothing to hold to either."""
    content = content_of(make_results(), "lower_third", entry="alder")
    scene = kinds()["lower_third"].lay_out(content, stage(480, 270), STYLE)
    pixels = draw_alone(scene, 0)
    assert judge_curves(scene, content, pixels, overlay_frame=0, frame=0) is None
    content = content_of(make_results(), "curves", test="cold")
    scene = kinds()["curves"].lay_out(content, stage(640, 360), STYLE)
    assert judge_curves(scene, content, pixels, overlay_frame=0, frame=0) is None
    scene = kinds()["curves"].lay_out(content, stage(300, 200), STYLE)
    told = judge_curves(scene, content, pixels, overlay_frame=0, frame=0)
    assert told is not None
    assert "too small" in told.message


def test_footage_gives_a_still_of_the_canvas_size(tmp_path: Path) -> None:
    """A frame of a film, stretched; nothing where there is no film."""
    content = content_of(make_results(), "lower_third", entry="alder")
    film = write(clip_of("lower_third", content, size=(320, 180)), tmp_path / "a b%d.mov")
    assert still_of(film, 64, 48)["footage"].shape == (48, 64, 3)
    (tmp_path / "no.mov").write_bytes(b"no film")
    assert still_of(tmp_path / "no.mov", 64, 48) == {}
    assert still_of(None, 64, 48) == {}
