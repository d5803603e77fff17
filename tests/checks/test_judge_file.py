"""Clips judged by their own frames alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.checks.findings import Finding
from overlays.checks.judge_file import judge_shown, watch_file
from overlays.draw.patch import Pixels
from overlays.model.clip import CODECS
from tests.checks.clips import RATE, Blinking, clip_of, write

FINAL = 3 + 50 - 1


def judged(file: Path) -> dict[str, Finding]:
    """Return what is found of a clip of 57 frames, by check."""
    seen = watch_file(file, rate=RATE, keep=(0, FINAL))
    assert seen.frames == 57
    return {item.check: item for item in judge_shown(file, seen, rate=RATE)}


def faint(number: int, pixels: Pixels) -> Pixels:
    """Show a mid-grey square well inside instead, which stands."""
    del number
    still = pixels.copy()
    still[...] = 0
    still[100:140, 100:180] = (120, 120, 120, 200)
    return still


@pytest.mark.parametrize("codec", ["qtrle", "prores4444", "ffv1", "png"])
def test_what_stands_still_inside_passes(tmp_path: Path, codec: str) -> None:
    """Nothing flashes, nothing lies outside, levels are fine: each check says so once."""
    clip = clip_of("curves", None, size=(320, 240))
    file = write(
        clip, tmp_path / f"clip{CODECS[codec]}", codec=codec, scene=Blinking(clip), spoilt=faint
    )
    found = judged(file)
    assert set(found) == {"flashing", "levels", "safe-area"}
    assert {item.verdict for item in found.values()} == {"pass"}


@pytest.mark.parametrize("codec", ["qtrle", "prores4444"])
def test_flashing_and_ink_at_the_edge_are_found(tmp_path: Path, codec: str) -> None:
    """Half the picture from white to black eight times a second, and up to the very edge."""
    clip = clip_of("curves", None, size=(320, 240))
    file = write(clip, tmp_path / f"clip{CODECS[codec]}", codec=codec, scene=Blinking(clip))
    found = judged(file)
    assert found["flashing"].verdict == "fail"
    assert "no medical guarantee" in found["flashing"].message
    assert found["flashing"].frame is not None
    assert found["safe-area"].verdict == "fail"
