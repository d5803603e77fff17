"""A turnover on disk, small but made by the real codecs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.clip import CODECS
from overlays.timecode import Timebase
from overlays.turnover import writer
from overlays.turnover.manifest import Manifest
from tests.turnover.building import NON_DROP_25, Square, clip, episode, render

Turnover = Callable[..., Manifest]


@pytest.fixture
def turnover(monkeypatch: pytest.MonkeyPatch) -> Turnover:
    """Return a function that writes a turnover of two clips that overlap."""
    monkeypatch.setattr(writer, "lay_out_clip", Square)

    def write(
        folder: Path,
        *,
        timebase: Timebase = NON_DROP_25,
        codec: str = "qtrle",
        cues: tuple[str, ...] = ("first", "second"),
    ) -> Manifest:
        start = timebase.frame("10:00:00:00", either_mark=True)
        clips = [
            clip(cue, start + 20 + 15 * index, 20, timebase, file=f"{cue}{CODECS[codec]}")
            for index, cue in enumerate(cues)
        ]
        rendered = render(folder, clips, codec)
        made = episode(folder.parent / "taps", timebase)
        return writer.write_turnover(folder, made, rendered, codec=codec, problems=Problems())

    return write
