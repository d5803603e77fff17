"""Codecs by name, and what they may be asked for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from overlays.errors import RenderError
from overlays.model.clip import CODECS
from overlays.render.codecs.registry import codec_named, refuse_codec, refuse_target


@pytest.mark.parametrize("name", ["h264", "prores422", "vp8", "", "PNG"])
def test_codecs_without_alpha_are_refused_naming_those_with(name: str) -> None:
    """A codec that would drop alpha, or is unknown, is an error that lists the others."""
    for call in (codec_named, refuse_codec):
        with pytest.raises(RenderError) as caught:
            call(name)
        assert caught.value.code == "no-alpha-codec"
        assert all(codec in caught.value.remedy for codec in CODECS)


@pytest.mark.parametrize("name", CODECS)
def test_every_codec_offered_is_there(name: str) -> None:
    """The names on the command line and the codecs are the same."""
    refuse_codec(name)
    assert codec_named(name).name == name


@pytest.mark.parametrize(("name", "ending"), CODECS.items())
def test_a_codec_takes_its_own_ending(name: str, ending: str) -> None:
    """In small letters or capitals; another is refused unless the codec writes a folder."""
    refuse_target(name, Path(f"clip{ending}"))
    refuse_target(name, Path(f"clip{ending.upper()}"))
    if ending:
        with pytest.raises(RenderError, match=ending):
            refuse_target(name, Path("clip.mp4"))


def test_refusing_loads_no_encoder() -> None:
    """A run in which nothing is to be drawn does not pay for one."""
    code = (
        "import sys\n"
        "from overlays.render.clips import render_clips\n"
        "from overlays.render.codecs.registry import refuse_codec\n"
        "refuse_codec('vp9')\n"
        "print([name for name in ('av', 'scipy', 'matplotlib', 'moviepy') if name in sys.modules])"
    )
    root = Path(__file__).parents[3]
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert found.stdout.strip() == "[]"
