"""A quick look at one overlay, a moment, or the whole episode."""

from __future__ import annotations

from pathlib import Path

import av
import pytest
from PIL import Image

from overlays.errors import OutlineError, RenderError
from overlays.turnover.quick_look import quick_look

MINI = Path(__file__).resolve().parents[1] / "data" / "sessions" / "mini"


def first_cue() -> str:
    import re

    text = (MINI / "outline.md").read_text(encoding="utf-8")
    found = re.search(r'^id = "([^"]+)"', text, re.MULTILINE)
    assert found is not None
    return found[1]


def test_one_picture_of_a_cue(tmp_path: Path) -> None:
    """With a time it is a PNG of the session's own size."""
    target = quick_look(MINI, first_cue(), at="1 s", out=tmp_path / "a.png")
    with Image.open(target) as picture:
        assert picture.size == (1080, 1920)


def test_the_moment_of_a_cue_and_of_the_episode_agree(tmp_path: Path) -> None:
    """A cue's own second, and the episode's timecode of it, show the same picture."""
    from overlays.errors import Problems
    from overlays.plan import find_cue, open_episode

    episode = open_episode(MINI, Problems())
    assert episode is not None
    cue = find_cue(episode.outline, first_cue())
    label = episode.outline.timebase.label(cue.first_frame + 25)
    one = quick_look(MINI, cue.cue, at="1 s", out=tmp_path / "a.png")
    two = quick_look(MINI, at=label, out=tmp_path / "b.png")
    three = quick_look(MINI, cue.cue, at=label, out=tmp_path / "c.png")
    assert one.read_bytes() == two.read_bytes() == three.read_bytes()


def test_a_moment_without_overlay_shows_the_backdrop_alone(tmp_path: Path) -> None:
    """Where nothing is on screen, nothing is drawn, and that is no error."""
    target = quick_look(MINI, at="0 frames", out=tmp_path / "a.png", backdrop="green")
    with Image.open(target) as picture:
        colours = picture.convert("RGB").getcolors(maxcolors=1 << 20)
    assert colours is not None
    assert len(colours) >= 1


def test_the_whole_episode_as_a_film(tmp_path: Path) -> None:
    """Without a cue it is a half-size film of the whole timeline, at its rate."""
    target = quick_look(MINI, out=tmp_path / "a.mp4")
    with av.open(str(target)) as container:
        stream = container.streams.video[0]
        assert (stream.width, stream.height) == (540, 960)
        assert stream.average_rate == 25
        assert stream.frames > 250


def test_what_cannot_be_shown_is_told(tmp_path: Path) -> None:
    """An unknown cue, an unreadable time and an unknown ending are errors; nothing is written."""
    with pytest.raises(OutlineError, match="no cue"):
        quick_look(MINI, "nothing", at="1 s", out=tmp_path / "a.png")
    with pytest.raises(OutlineError):
        quick_look(MINI, first_cue(), at="soon", out=tmp_path / "a.png")
    with pytest.raises(RenderError, match=r"\.mp4"):
        quick_look(MINI, first_cue(), out=tmp_path / "a.avi")
    with pytest.raises(RenderError, match=r"\.png"):
        quick_look(MINI, first_cue(), at="1 s", out=tmp_path / "a.mp4")
    assert list(tmp_path.iterdir()) == []
