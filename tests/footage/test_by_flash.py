"""A run found by a lamp that comes on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from overlays.errors import FootageError
from overlays.footage.by_flash import flashes
from overlays.footage.clock import read_clock
from overlays.footage.events import Event
from tests.footage.cameras import SOURCE_HZ, film

FRAME_S = 1001 / 30000


def greys(seconds: float, *lit: tuple[float, float, int], seed: int = 1) -> NDArray[np.uint8]:
    """Return a restless scene whose exposure drifts, brighter from one time to another by codes."""
    time_s = np.arange(round(seconds * SOURCE_HZ)) / SOURCE_HZ
    scene = 90 + 25 * np.sin(time_s / 2.3) + np.random.default_rng(seed).normal(0, 1.2, len(time_s))
    for start_s, end_s, codes in lit:
        scene[(time_s >= start_s) & (time_s < end_s)] += codes
    return np.clip(scene, 0, 255).astype(np.uint8)


def seen(file: Path, scene: NDArray[np.uint8], shown: str = "29.97") -> tuple[Event, ...]:
    film(file, None, seconds=len(scene) / SOURCE_HZ, grey=scene, shown=shown)
    return flashes(file, read_clock(file))


@pytest.mark.parametrize("shown", ["29.97", "variable"])
@pytest.mark.parametrize("at_s", [2.513, 3.871, 5.102])
def test_a_flash_is_found_within_what_is_said(tmp_path: Path, shown: str, at_s: float) -> None:
    """The lamp came on between two pictures: neither earlier nor later, by their own stamps."""
    (event,) = seen(tmp_path / "a.mp4", greys(8, (at_s, at_s + 0.4, 70)), shown)
    # Stamps count from the first picture shown, at most a frame behind the scene's own zero.
    assert abs(event.time_s - at_s) <= event.within_s + FRAME_S / 2 + 1 / SOURCE_HZ
    if shown == "29.97":
        assert event.within_s == pytest.approx(FRAME_S / 2, abs=1e-3)
        assert abs(event.time_s - at_s) <= FRAME_S


def test_drift_and_noise_are_no_flash(tmp_path: Path) -> None:
    """A camera that adapts its exposure brightens slowly, and grain brightens nothing."""
    assert seen(tmp_path / "a.mp4", greys(8)) == ()


def test_a_lamp_that_goes_out_is_no_flash(tmp_path: Path) -> None:
    """Two come on, one of them for good; that the other goes out is not an event."""
    found = seen(tmp_path / "a.mp4", greys(8, (2.0, 3.0, 60), (5.0, 9.0, 60)))
    assert [event.time_s for event in found] == pytest.approx([2.0, 5.0], abs=2 * FRAME_S)
    assert found[0].strength == pytest.approx(found[1].strength, rel=0.2)


def test_a_film_without_pictures_is_told(tmp_path: Path) -> None:
    """A recording of sound has no light in it."""
    file = tmp_path / "a.wav"
    film(tmp_path / "b.mp4", np.zeros(44100), more=())
    import av

    with av.open(str(file), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=8000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 8000), np.int16), layout="mono")
        frame.sample_rate = 8000
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    with pytest.raises(FootageError, match="no picture"):
        flashes(file, read_clock(file))
