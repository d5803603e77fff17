"""The parts that the work is done with: codecs, FFmpeg, styles and fonts, kinds, extras."""

from __future__ import annotations

import importlib.util
import subprocess
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np

from overlays.checks.decode_back import difference
from overlays.checks.decoding import decode
from overlays.doctor.finding import MachineFinding
from overlays.draw.patch import Pixels, Rect
from overlays.errors import TracereelError
from overlays.model.clip import CODECS
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.registry import codec_named

__all__ = ["part_findings"]

_REINSTALL = "Install the package again: python -m pip install --force-reinstall tracereel"
_SPEC = FileSpec(96, 54, Fraction(25), "01:00:00:00")
_FRAMES = 3
_START_S = 60
# Not asked for by most: the extra that brings each, and what it is for.
_EXTRAS = (
    ("asammdf", "mdf", "reads ASAM MDF logs"),
    ("noto_cjk_sans_jp_regular", "cjk", "sets Chinese, Japanese and Korean names"),
    ("distributed", "cluster", "draws on several machines"),
)


def part_findings() -> Iterator[MachineFinding]:
    """Use every part once, for real; nothing stays written."""
    for name in CODECS:
        yield _codec(name)
    yield _program()
    yield from _styles()
    yield _kinds()
    for module, extra, purpose in _EXTRAS:
        yield _extra(module, extra, purpose)


def _test_frame(number: int) -> Pixels:
    """Return a ramp of colours under a ramp of alpha, another one each time."""
    down, across = np.mgrid[0 : _SPEC.height, 0 : _SPEC.width]
    planes = (across * 2 + number, down * 4, 255 - across, np.minimum(255, down * 5))
    return np.stack(planes, axis=2).astype(np.uint8)


def _codec(name: str) -> MachineFinding:
    """Write a clip and read it back: that both work says more than that both are there."""
    about = f"codec {name}"
    whole = Rect(0, 0, _SPEC.width, _SPEC.height)
    try:
        with tempfile.TemporaryDirectory(prefix="tracereel-") as folder:
            target = Path(folder) / f"probe{CODECS[name]}"
            writer = codec_named(name).open(target, _SPEC)
            for number in range(_FRAMES):
                writer.add(_test_frame(number), [whole])
            writer.finish()
            back = [
                (number, difference(seen, _test_frame(number))) for number, seen in decode(target)
            ]
    except (TracereelError, OSError, ImportError, ValueError) as error:
        return MachineFinding(about, "missing", f"does not work: {error}", _REINSTALL)
    if len(back) != _FRAMES:
        return MachineFinding(
            about, "missing", f"{len(back)} of {_FRAMES} frames come back", _REINSTALL
        )
    worst = max(found.levels for _, found in back)
    return MachineFinding(
        about, "good", f"written and read back with alpha, {worst:.1f} levels off"
    )


def _program() -> MachineFinding:
    """Start the FFmpeg program that a package of ours brings along."""
    import imageio_ffmpeg

    about = "FFmpeg program"
    try:
        program = imageio_ffmpeg.get_ffmpeg_exe()
        done = subprocess.run(
            [program, "-hide_banner", "-version"],
            capture_output=True,
            text=True,
            errors="replace",
            check=True,
            timeout=_START_S,
        )
    except (RuntimeError, OSError, subprocess.SubprocessError) as error:
        return MachineFinding(
            about,
            "missing",
            f"does not start: {error}",
            "Install it again: python -m pip install --force-reinstall imageio-ffmpeg",
        )
    return MachineFinding(about, "good", " ".join(done.stdout.split()[:3]))


def _styles() -> Iterator[MachineFinding]:
    from overlays.draw.text import font_files
    from overlays.style.house import load_style, style_names

    names = style_names()
    if not names:
        yield MachineFinding("styles", "missing", "none is there", _REINSTALL)
    for name in names:
        try:
            fonts = font_files(load_style(name))
        except TracereelError as error:
            yield MachineFinding(f"style {name}", "missing", str(error), _REINSTALL)
        else:
            yield MachineFinding(f"style {name}", "good", f"{len(fonts)} font files")


def _kinds() -> MachineFinding:
    from overlays.kinds.registry import kinds

    try:
        found = kinds()
    except ImportError as error:
        return MachineFinding("overlay kinds", "missing", f"cannot be loaded: {error}", _REINSTALL)
    return MachineFinding("overlay kinds", "good", ", ".join(found))


def _extra(module: str, extra: str, purpose: str) -> MachineFinding:
    about = f"extra {extra}"
    if importlib.util.find_spec(module) is not None:
        return MachineFinding(about, "good", f"{purpose}; installed")
    return MachineFinding(
        about,
        "note",
        f"{purpose}; not installed",
        f"If you need it: python -m pip install tracereel[{extra}]",
    )
