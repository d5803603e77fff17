"""A written clip against what was to be written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from overlays.checks.decode_back import (
    STATED_ERROR_LEVELS,
    Comparison,
    Difference,
    Expected,
    difference,
    judge_ends,
    judge_probe,
)
from overlays.checks.decoding import decode
from overlays.checks.findings import Finding
from overlays.checks.probe import probe
from overlays.draw.patch import Pixels
from overlays.model.clip import CODECS
from tests.checks.conftest import Written


def expected(codec: str) -> Expected:
    return Expected(codec, 77, 45, 8, Fraction(30000, 1001), "01:00:00;00")


def compared(frames: Sequence[tuple[int, Pixels, Pixels]], codec: str) -> Finding:
    comparison = Comparison(codec)
    for number, decoded, drawn in frames:
        comparison.add(number, decoded, drawn)
    return comparison.finding()


def picture() -> Pixels:
    pixels = np.zeros((300, 20, 4), np.uint8)
    pixels[100:200] = (200, 40, 40, 255)
    return pixels


@pytest.mark.parametrize("codec", CODECS)
def test_a_clip_as_it_should_be_passes_whole(written: Written, codec: str) -> None:
    """Tags, frames and ends of every codec's clip pass."""
    file = written.files[codec]
    frames = dict(decode(file))
    pairs = [(number, pixels, written.frames[number]) for number, pixels in frames.items()]
    findings = [
        *judge_probe(probe(file), expected(codec)),
        compared(pairs, codec),
        *judge_ends(frames, handles=(2, 2), count=8, codec=codec),
    ]
    assert [finding.verdict for finding in findings] == ["pass"] * 3, findings


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"frames": 7}, "frame count is 7; expected 8"),
        ({"rate": Fraction(30)}, "frame rate is 30; expected 30000/1001"),
        ({"width": 78}, "size is 78x45; expected 77x45"),
        ({"codec": "h264"}, "codec is h264; expected prores"),
        ({"alpha": False}, "alpha is missing"),
        ({"steady": False}, "constant frame rate is missing"),
        ({"matrix": "bt601-525"}, "matrix is bt601-525; expected bt709"),
        ({"transfer": "unspecified"}, "transfer is unspecified; expected bt709"),
        ({"primaries": "unspecified"}, "primaries is unspecified"),
        ({"range": "full"}, "range is full; expected narrow"),
        ({"timecode": "01:00:00:00"}, "timecode is 01:00:00:00; expected 01:00:00;00"),
        ({"timecode_track": False}, "timecode track is missing"),
    ],
)
def test_each_thing_wrong_is_told(written: Written, changed: Mapping[str, Any], told: str) -> None:
    """A file that says something else is told what, and what was expected."""
    found = replace(probe(written.files["prores4444"]), **changed)
    (finding,) = judge_probe(found, expected("prores4444"))
    assert finding.verdict == "fail"
    assert told in finding.message


def test_a_rate_rounded_by_its_container_is_the_rate(written: Written) -> None:
    """Of 60000/1001, Matroska keeps 16683333 ns, which FFmpeg tells as 19001/317; 60 is told."""
    meant = replace(expected("vp9"), rate=Fraction(60000, 1001))
    found = replace(probe(written.files["vp9"]), rate=Fraction(19001, 317))
    assert [finding.verdict for finding in judge_probe(found, meant)] == ["pass"]
    (finding,) = judge_probe(replace(found, rate=Fraction(60)), meant)
    assert "frame rate is 60; expected 60000/1001" in finding.message


def test_several_things_wrong_are_all_told(written: Written) -> None:
    """One pass reports everything, here two."""
    found = replace(probe(written.files["png"]), steady=False, width=1)
    told = [finding.message for finding in judge_probe(found, expected("png"))]
    assert len(told) == 2
    assert "numbering is missing" in told[1]


def test_the_difference_is_as_it_looks_and_where() -> None:
    """Colour under alpha 0 does not count; the worst pixel is found in any band."""
    drawn = picture()
    hidden = drawn.copy()
    hidden[:50, :, :3] = 77
    assert difference(hidden, drawn) == Difference(0, 0, 0, 0)
    off = drawn.copy()
    off[150, 7, 1] = 49
    off[110, 3, 1] = 45
    assert difference(off, drawn) == Difference(9, 0, 7, 150)


def test_lost_alpha_shows_over_white() -> None:
    """Black with too much alpha is no difference over black, and all over white."""
    drawn = np.zeros((4, 4, 4), np.uint8)
    opaque = drawn.copy()
    opaque[2, 1, 3] = 255
    assert difference(opaque, drawn) == Difference(255, 255, 1, 2)


def test_frames_of_two_sizes_cannot_be_compared() -> None:
    """Comparing frames of different sizes is refused."""
    with pytest.raises(ValueError, match="cannot be compared"):
        difference(picture(), picture()[1:])


def test_the_worst_frame_is_named() -> None:
    """Of several frames that are off, the finding names the worst, and the place in it."""
    drawn = picture()
    off, worse = drawn.copy(), drawn.copy()
    off[150, 7, 1] += 5
    worse[160, 9, 1] += 6
    finding = compared([(0, drawn, drawn), (4, off, drawn), (9, worse, drawn)], "qtrle")
    assert (finding.verdict, finding.frame) == ("fail", 9)
    assert "6.0 levels off the drawn one at (9, 160)" in finding.message


def test_comparing_nothing_is_no_pass() -> None:
    """A clip of which no frame was seen is not proven."""
    assert compared([], "png").verdict == "fail"


def test_stated_errors_cover_every_codec() -> None:
    """Every codec states its error, and those without loss none."""
    assert set(STATED_ERROR_LEVELS) == set(CODECS)
    assert [STATED_ERROR_LEVELS[name] for name in ("qtrle", "ffv1", "png")] == [0, 0, 0]


def test_a_dirty_start_an_empty_end_and_a_moving_handle_are_told() -> None:
    """Something before the cue, nothing at its end, or movement after it fail with their frames."""
    clear, shown = np.zeros((300, 20, 4), np.uint8), picture()
    moved = np.roll(shown, 1, axis=0)
    good = {0: clear, 7: shown, 9: shown}

    def told(
        frames: Mapping[int, Pixels], handles: tuple[int, int] = (2, 2), *, leaves: bool = False
    ) -> list[int | None]:
        findings = judge_ends(frames, handles=handles, count=10, codec="ffv1", leaves=leaves)
        return [finding.frame for finding in findings if finding.verdict == "fail"]

    assert told(good) == []
    assert told(good | {0: shown}) == [0]
    assert told(good | {9: moved}) == [9]
    assert told({0: clear, 7: clear, 9: clear}) == [7]
    # Without a handle in front the cue itself begins the file, and may show something.
    assert told({0: shown, 9: shown}, handles=(0, 0)) == []
    # An overlay that leaves is gone at the end of its cue, and one that stands on is not.
    gone = {0: clear, 7: clear, 9: clear}
    assert told(gone, leaves=True) == []
    assert told(good, leaves=True) == [7]
    assert told(gone | {9: shown}, leaves=True) == [9]
