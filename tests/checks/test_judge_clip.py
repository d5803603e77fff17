"""A clip judged as a whole: what is right passes, and every kind of wrong is found out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from overlays.checks import judge_clip as module
from overlays.checks.judge_clip import ClipWatch, Judged, frames_looked_at
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.patch import Pixels
from overlays.kinds._curve_content import CurvesContent
from overlays.model.check import CHECKS
from overlays.model.clip import Clip, MotionChoice
from overlays.render.frames import lay_out_clip
from tests.checks.clips import Blinking, clip_of, write
from tests.kinds.conftest import content_of, make_results


def curves() -> CurvesContent:
    content = content_of(
        make_results(), "curves", test="cold", entries=["alder", "dune"], pace="fit"
    )
    assert isinstance(content, CurvesContent)
    return content


def nobody(frames: int) -> None:
    del frames


def judged(clip: Clip, file: Path, *, codec: str = "qtrle") -> Judged:
    watch = ClipWatch(clip, codec)
    watch.see_all(nobody)
    return watch.judged(file)


def failed(found: Judged) -> set[str]:
    return {item.check for item in found.findings if item.verdict == "fail"}


@pytest.mark.parametrize("codec", ["qtrle", "prores4444"])
def test_a_good_clip_passes_every_check(tmp_path: Path, codec: str) -> None:
    """Nothing fails, every check has said something, and all numbers were read."""
    clip = clip_of("curves", curves())
    found = judged(clip, write(clip, tmp_path / "a.mov", codec=codec), codec=codec)
    assert not failed(found)
    assert {item.check for item in found.findings} == set(CHECKS) - {"overlap", "pace"}
    assert set(curves().values) <= set(found.numbers or ())


def test_the_frames_looked_at_are_the_ends_and_one_between() -> None:
    """First and last of the file and of the cue, and the middle; each once where they meet."""
    assert frames_looked_at(clip_of("curves", None)) == (0, 3, 27, 52, 56)
    alone = replace(clip_of("curves", None, frames=1), handles=(0, 0))
    assert frames_looked_at(alone) == (0,)


def test_of_an_overlay_that_leaves_the_complete_state_is_looked_at() -> None:
    """Besides the usual frames, the last before it leaves; the middle is that of coming to it."""
    clip = clip_of("curves", None)
    leaving = replace(clip, stage=replace(clip.stage, leave=10))
    assert leaving.full_frame == 42
    assert frames_looked_at(leaving) == (0, 3, 22, 42, 52, 56)


@pytest.mark.parametrize("motion", ["full", "reduced"])
def test_an_overlay_put_elsewhere_that_leaves_passes_every_check(
    tmp_path: Path, motion: MotionChoice
) -> None:
    """Its curves and numbers are read where they are, before it goes, and its tail is empty."""
    clip = clip_of("curves", curves())
    clip = replace(clip, stage=replace(clip.stage, place="head", leave=10, motion=motion))
    found = judged(clip, write(clip, tmp_path / "a.mov"))
    assert not failed(found)
    assert set(curves().values) <= set(found.numbers or ())
    (on_data,) = (item for item in found.findings if item.check == "curves")
    assert "curves lie on their data" in on_data.message
    (ends,) = (item for item in found.findings if item.check == "ends")
    assert "it has left" in ends.message
    # A file in which it stands on is not the one that was asked for.
    stands = replace(clip, stage=replace(clip.stage, leave=0))
    other = write(stands, tmp_path / "b.mov")
    assert {"ends", "decode-back"} <= failed(judged(clip, other))


def test_a_picture_of_other_data_is_found_out(tmp_path: Path) -> None:
    """Data 3 % higher than that of the clip: its curve, its number and its frames all tell."""
    content = curves()
    false = replace(
        content, lines=(replace(content.lines[0], values=content.lines[0].values * 1.03),
                        *content.lines[1:]),
    )  # fmt: skip
    clip = clip_of("curves", content)
    file = write(clip, tmp_path / "a.mov", scene=lay_out_clip(clip_of("curves", false)))
    assert {"curves", "numbers", "decode-back"} <= failed(judged(clip, file))


def premultiplied(number: int, pixels: Pixels) -> Pixels:
    del number
    spoilt = pixels.copy()
    spoilt[..., :3] = (pixels[..., :3] * (pixels[..., 3:].astype(np.uint16) + 1) >> 8).astype(
        np.uint8
    )
    return spoilt


def early(number: int, pixels: Pixels) -> Pixels:
    spoilt = pixels.copy()
    if number == 0:
        spoilt[300:400, 300:400] = 255
    return spoilt


def wandering(number: int, pixels: Pixels) -> Pixels:
    return np.roll(pixels, 3, axis=1) if number == 56 else pixels


def outside(number: int, pixels: Pixels) -> Pixels:
    del number
    spoilt = pixels.copy()
    spoilt[:20, 600:640] = (200, 60, 40, 255)
    return spoilt


@pytest.mark.parametrize(
    ("spoilt", "checks"),
    [
        (premultiplied, {"alpha", "decode-back"}),
        (early, {"ends", "decode-back"}),
        (wandering, {"ends", "decode-back"}),
        (outside, {"safe-area", "decode-back"}),
    ],
)
def test_what_is_wrong_with_the_file_is_found_out(
    tmp_path: Path, spoilt: Callable[[int, Pixels], Pixels], checks: set[str]
) -> None:
    """Premultiplied colour, an early or a late change, ink outside the safe area."""
    clip = clip_of("lower_third", content_of(make_results(), "lower_third", entry="alder"))
    everywhere = write(clip, tmp_path / "a.mkv", codec="ffv1", spoilt=spoilt)
    assert checks <= failed(judged(clip, everywhere, codec="ffv1"))


def test_a_file_that_cannot_be_decoded_fails(tmp_path: Path) -> None:
    """A damaged file and one that is too short are told, and the rest is judged all the same."""
    clip = clip_of("lower_third", content_of(make_results(), "lower_third", entry="alder"))
    broken = tmp_path / "broken.mov"
    broken.write_bytes(b"not a film")
    found = judged(clip, broken)
    assert failed(found) == {"decode-back"}
    assert {"flashing", "reading-time"} <= {item.check for item in found.findings}
    other = replace(clip, stage=replace(clip.stage, width=640, height=360))
    found = judged(clip, write(other, tmp_path / "small.mov"))
    assert any("of another size than those drawn" in item.message for item in found.findings)
    short = write(replace(clip, handles=(3, 0)), tmp_path / "short.mov")
    told = [item.message for item in judged(clip, short).findings if item.verdict == "fail"]
    assert any("frame count is 53; expected 57" in message for message in told)
    assert any("frame 56 of the file cannot be decoded" in message for message in told)


def test_an_overlay_that_flashes_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a screen from white to black and back four times a second is too much; thrice is not."""
    monkeypatch.setattr(module, "lay_out_clip", Blinking)
    clip = clip_of("curves", None, size=(128, 96))
    file = write(clip, tmp_path / "a.mov", scene=Blinking(clip))
    watch = ClipWatch(clip, "qtrle")
    watch.see_all(nobody)
    green = {"footage": BACKDROPS["green"](128, 96)}
    (flashing,) = (
        item for item in watch.judged(file, footage=green).findings if item.check == "flashing"
    )
    assert flashing.verdict == "fail"
    assert flashing.frame is not None
    assert 4 <= flashing.frame <= 3 + 3 * 8


def test_a_clip_half_seen_cannot_be_judged(tmp_path: Path) -> None:
    """Flashing and reading time need every frame."""
    watch = ClipWatch(clip_of("lower_third", content_of(make_results(), "lower_third",
                                                        entry="alder")), "qtrle")  # fmt: skip
    with pytest.raises(ValueError, match="0 of 57 frames"):
        watch.judged(tmp_path / "a.mov")


def test_what_cannot_be_read_on_a_tiny_canvas_is_not_judged(tmp_path: Path) -> None:
    """At 96 by 54 letters are heaps of pixels: the file is judged, the words are not."""
    clip = clip_of("curves", curves(), size=(96, 54))
    found = judged(clip, write(clip, tmp_path / "a.mov"))
    assert not failed(found)
    assert found.numbers is None
    (said,) = (item.message for item in found.findings if item.check == "numbers")
    assert said == "not judged on a canvas of fewer than 240 pixels a side."
