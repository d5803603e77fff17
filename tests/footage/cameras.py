"""Camera files made by the FFmpeg program that imageio-ffmpeg ships: not the build under test."""

from __future__ import annotations

import subprocess
import wave
from pathlib import Path

import imageio_ffmpeg
import numpy as np
from numpy.typing import NDArray

__all__ = ["SOURCE_HZ", "film"]

SOURCE_HZ = 120
"""Pictures are made so many times a second; a film shows some of them."""
_SIZE = (64, 36)
_SHOWN = {
    "29.97": ["-vf", "fps=30000/1001"],
    # Some of 120 pictures a second, without any regularity, as a phone in dim light.
    "variable": ["-vf", r"select=lt(random(7)\,0.25)", "-fps_mode", "vfr"],
}


def film(
    path: Path,
    sound: NDArray[np.float64] | None,
    *,
    sound_hz: int = 44100,
    seconds: float | None = None,
    shown: str = "29.97",
    grey: NDArray[np.uint8] | None = None,
    sound_late_s: float = 0.0,
    more: tuple[str, ...] = (),
) -> Path:
    """Write a film.

    Parameters
    ----------
    path : Path
        Its ending says the container.
    sound : ndarray of shape (N,), or None
        Between -1 and 1; None for a film without a sound track.
    sound_hz : int
        Samples a second.
    seconds : float, optional
        Length of the picture; by default that of the sound.
    shown : {"29.97", "variable"}
        Which pictures are shown.
    grey : ndarray of shape (M,), uint8, optional
        The grey of each of `SOURCE_HZ` pictures a second, repeated at the end; mid-grey without.
    sound_late_s : float
        How long after the picture the sound track begins.
    more : tuple of str
        Further options of the output.
    """
    length_s = seconds if seconds is not None else (0 if sound is None else len(sound) / sound_hz)
    count = round(length_s * SOURCE_HZ)
    greys = np.full(count, 110, np.uint8) if grey is None else np.resize(grey, count)
    width, height = _SIZE
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-y", "-v", "error", "-nostdin"]
    command += ["-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{width}x{height}"]
    command += ["-framerate", str(SOURCE_HZ), "-i", "pipe:0"]
    if sound is not None:
        samples = path.with_suffix(".samples.wav")
        with wave.open(str(samples), "wb") as out:
            out.setparams((1, 2, sound_hz, len(sound), "NONE", ""))
            out.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
        command += ["-itsoffset", str(sound_late_s), "-i", str(samples)]
    command += [*_SHOWN[shown], "-pix_fmt", "yuv420p", *more, str(path)]
    # A narrow range would turn the greys; the picture is one grey all over.
    pictures = np.repeat(greys, width * height).tobytes()
    subprocess.run(command, input=pictures, check=True)
    if sound is not None:
        samples.unlink()
    return path
