"""Films over camera footage, with its sound."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from overlays.draw.backdrop import over
from overlays.draw.canvas import draw_alone
from overlays.errors import FootageError, RenderError
from overlays.model.clip import Clip
from overlays.render.footage import footage_files, preview_over_footage
from overlays.render.frames import lay_out_clip

GREY = 150
TONE_HZ = 441
SOUND_RATE = 44100


def _film(path: Path, *, seconds: int = 3, sound: bool = True) -> Path:
    """Make a grey film with a tone that begins after its first second."""
    with av.open(str(path), "w") as container:
        picture = container.add_stream("mpeg4", rate=25)
        picture.width, picture.height, picture.pix_fmt = 120, 160, "yuv420p"
        tone = container.add_stream("aac", rate=SOUND_RATE, layout="mono") if sound else None
        for _ in range(25 * seconds):
            grey = np.full((160, 120, 3), GREY, np.uint8)
            container.mux(picture.encode(av.VideoFrame.from_ndarray(grey, format="rgb24")))
        container.mux(picture.encode(None))
        if tone is not None:
            times = np.arange(SOUND_RATE * seconds) / SOUND_RATE
            wave = np.where(times < 1, 0, np.sin(2 * np.pi * TONE_HZ * times)).astype(np.float32)
            frame = av.AudioFrame.from_ndarray(wave[None] / 2, format="fltp", layout="mono")
            frame.sample_rate = SOUND_RATE
            container.mux(tone.encode(frame))
            container.mux(tone.encode(None))
    return path


@pytest.fixture
def card(small_clips: tuple[Clip, ...]) -> Clip:
    """Return a card of one second and a fifth."""
    clip = small_clips[1]
    return replace(clip, stage=replace(clip.stage, frames=30))


def _sound(path: Path) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    with av.open(str(path)) as container:
        frames = [frame.to_ndarray()[0] for frame in container.decode(audio=0)]
    return np.concatenate(frames).astype(np.float32)


@pytest.mark.slow  # moviepy takes a second to import
def test_the_overlay_lies_over_the_footage_and_its_sound_is_kept(
    card: Clip, tmp_path: Path
) -> None:
    """Picture: the last frame over grey. Sound: silent until the tone, half a second in."""
    footage = _film(tmp_path / "bench.mp4")
    preview_over_footage(card, footage, tmp_path / "out.mp4", from_s=0.5)
    with av.open(str(tmp_path / "out.mp4")) as container:
        stream = container.streams.video[0]
        assert (stream.width, stream.height) == (card.stage.width, card.stage.height)
        assert stream.average_rate == card.stage.rate
        frames = list(container.decode(stream))
    assert len(frames) == card.stage.frames
    assert frames[-1].colorspace == 1  # BT.709 in ITU-T H.273
    shown = frames[-1].to_ndarray(format="rgb24", src_colorspace="ITU709").astype(float)
    pixels = draw_alone(lay_out_clip(card), card.stage.frames - 1)
    backdrop = np.full((*pixels.shape[:2], 3), GREY, np.uint8)
    # The footage is less tall than the canvas: above and below it lies black.
    room = (card.stage.height - card.stage.width * 160 // 120) // 2
    backdrop[:room] = backdrop[-room:] = 0
    assert np.abs(shown - over(pixels, backdrop)).mean() < 4
    sound = np.abs(_sound(tmp_path / "out.mp4"))
    assert sound[: int(0.4 * SOUND_RATE)].max() < 0.02
    assert sound[int(0.6 * SOUND_RATE) : SOUND_RATE].max() > 0.3
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


@pytest.mark.slow
def test_footage_without_sound_gives_a_film_without(card: Clip, tmp_path: Path) -> None:
    """And where the footage ends early, the cue goes on to its end."""
    footage = _film(tmp_path / "bench.mp4", seconds=1, sound=False)
    preview_over_footage(card, footage, tmp_path / "out.mp4")
    with av.open(str(tmp_path / "out.mp4")) as container:
        assert not container.streams.audio
        assert sum(1 for _ in container.decode(video=0)) == card.stage.frames


@pytest.mark.slow
def test_footage_that_cannot_be_used_is_told(card: Clip, tmp_path: Path) -> None:
    """Not a film; too short; a target of another kind. Nothing is written."""
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"not a film" * 50)
    short = _film(tmp_path / "short.mp4", seconds=1)
    out = tmp_path / "out.mp4"
    for footage, from_s, code, target in (
        (broken, 0, "unreadable-footage", out),
        (tmp_path / "none.mp4", 0, "no-footage", out),
        (short, Fraction(7, 2), "footage-too-short", out),
        (short, 0, "unknown-preview", out.with_suffix(".gif")),
    ):
        with pytest.raises((RenderError, FootageError)) as caught:
            preview_over_footage(card, footage, target, from_s=from_s)
        assert caught.value.code == code
    assert not out.exists()


def test_camera_files_of_a_session_are_found(tmp_path: Path) -> None:
    """Films in the folder footage, in order of name; anything else there is left alone."""
    assert footage_files(tmp_path) == ()
    folder = tmp_path / "footage"
    folder.mkdir()
    for name in ("b.MOV", "a.mp4", "notes.txt", ".hidden.mp4"):
        (folder / name).touch()
    assert [file.name for file in footage_files(tmp_path)] == ["a.mp4", "b.MOV"]
