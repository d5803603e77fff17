"""Whether a written clip is what was to be written: read back and compared.

What a file says of itself is compared with what it should say, its frames with the drawn ones.
Frames are compared by how they look: composited over black, white and green, in 8-bit levels, so
that colour hidden where alpha is 0 does not count.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from overlays.checks.findings import Finding
from overlays.checks.probe import ClipProbe
from overlays.draw.patch import Pixels

__all__ = [
    "STATED_ERROR_LEVELS",
    "Comparison",
    "Difference",
    "Expected",
    "difference",
    "judge_ends",
    "judge_probe",
]

# The largest composite error each codec may show, in 8-bit levels: what rounding to Y'CbCr and the
# quantiser cost (measured on the demo session's clips: ProRes 2.8, in blue, VP9 2.0), and one more
# for rounding the decoded colour to 8 bits; the others lose nothing.
STATED_ERROR_LEVELS: Mapping[str, float] = MappingProxyType(
    {"prores4444": 4.0, "vp9": 3.0, "qtrle": 0.0, "ffv1": 0.0, "png": 0.0}
)
_LIBRARY_NAMES = {"prores4444": "prores"}
_BAND_ROWS = 128
_CLEAR_ALPHA = 1  # a lossy alpha may come back as 1 where it was 0


@dataclass(frozen=True, slots=True)
class Expected:
    """What a clip's file should say of itself.

    Parameters
    ----------
    codec : str
        A name of `overlays.model.clip.CODECS`.
    width, height, frames : int
        Of the file, handles included.
    rate : Fraction
        Frames per second.
    timecode : str
        Label of the file's first frame.
    """

    codec: str
    width: int
    height: int
    frames: int
    rate: Fraction
    timecode: str


@dataclass(frozen=True, slots=True)
class Difference:
    """How far two frames lie apart as they look.

    Parameters
    ----------
    levels : float
        The largest difference over black, white or green, 0 to 255, not rounded.
    alpha : int
        The largest difference of alpha.
    x, y : int
        Where the first lies.
    """

    levels: float
    alpha: int
    x: int
    y: int


def judge_probe(found: ClipProbe, expected: Expected) -> tuple[Finding, ...]:
    """Compare what a file says of itself with what it should say.

    Returns
    -------
    tuple of Finding
        A failure for each thing that is wrong, else one pass.
    """
    pictures = expected.codec == "png"
    pairs: list[tuple[str, object, object]] = [
        ("codec", found.codec, _LIBRARY_NAMES.get(expected.codec, expected.codec)),
        ("size", f"{found.width}x{found.height}", f"{expected.width}x{expected.height}"),
        ("frame count", found.frames, expected.frames),
        ("alpha", _yes(found.alpha), _yes(True)),
        ("numbering" if pictures else "constant frame rate", _yes(found.steady), _yes(True)),
    ]
    if not pictures:
        pairs += [
            ("frame rate", _as_meant(found.rate, expected.rate), expected.rate),
            ("timecode", found.timecode, expected.timecode),
            ("primaries", found.primaries, "bt709"),
            ("transfer", found.transfer, "bt709"),
        ]
    if found.pixel_format.startswith("yuv"):
        pairs += [("matrix", found.matrix, "bt709"), ("range", found.range, "narrow")]
    elif not pictures:
        pairs.append(("matrix", found.matrix, "rgb"))
    if expected.codec in ("prores4444", "qtrle"):
        pairs.append(("timecode track", _yes(found.timecode_track), _yes(True)))
    wrong = [(what, is_, should) for what, is_, should in pairs if is_ != should]
    if not wrong:
        message = f"the file is {found.codec}, {found.width}x{found.height}, {found.frames} frames."
        return (Finding("decode-back", "pass", message),)
    return tuple(
        Finding(
            "decode-back",
            "fail",
            f"the file's {what} is {is_}; expected {should}.",
            "Render the clip again; if it stays so, report the encoder.",
        )
        for what, is_, should in wrong
    )


def _as_meant(found: Fraction | None, expected: Fraction) -> Fraction | None:
    """Return a rate without the rounding of Matroska, which counts a frame in nanoseconds.

    FFmpeg turns 16683333 ns into 19001/317, where 60000/1001 was written: 53 in a thousand
    million apart. Rates that are really different lie 1 in 1001 apart or more.
    """
    if found is not None and abs(found / expected - 1) < Fraction(1, 1_000_000):
        return expected
    return found


def _yes(value: bool) -> str:  # noqa: FBT001 (a word for a truth value)
    return "there" if value else "missing"


def difference(decoded: Pixels, drawn: Pixels) -> Difference:
    """Measure how far two frames of one size lie apart as they look.

    Parameters
    ----------
    decoded, drawn : ndarray of shape (H, W, 4)
        Straight RGBA.

    Raises
    ------
    ValueError
        If their sizes differ.
    """
    if decoded.shape != drawn.shape:
        raise ValueError(f"frames of {decoded.shape} and {drawn.shape} cannot be compared")
    worst = Difference(0.0, 0, 0, 0)
    for top in range(0, drawn.shape[0], _BAND_ROWS):
        one, other = decoded[top : top + _BAND_ROWS], drawn[top : top + _BAND_ROWS]
        columns = np.flatnonzero((one[..., 3] | other[..., 3]).any(axis=0))
        if not len(columns) or np.array_equal(one, other):
            continue
        # Where nothing shows in either, nothing can differ.
        left = int(columns[0])
        one, other = (part[:, left : int(columns[-1]) + 1] for part in (one, other))
        more = one[..., 3].astype(np.int32) - other[..., 3]
        alpha = int(np.abs(more).max())
        # In 255ths of a level, exactly. Every backdrop's red, green and blue are 0 or 255.
        over_black = _multiplied(one) - _multiplied(other)
        over_white = over_black - 255 * more[..., None]
        apart = np.maximum(np.abs(over_black), np.abs(over_white)).max(axis=-1)
        levels = float(apart.max()) / 255
        y, x = np.unravel_index(int(apart.argmax()), apart.shape)
        if levels > worst.levels:
            worst = Difference(levels, max(alpha, worst.alpha), left + int(x), top + int(y))
        else:
            worst = Difference(worst.levels, max(alpha, worst.alpha), worst.x, worst.y)
    return worst


def _multiplied(pixels: Pixels) -> NDArray[np.int32]:
    return np.multiply(pixels[..., :3], pixels[..., 3:], dtype=np.int32)


class Comparison:
    """Compares decoded frames with the drawn ones as they come.

    Parameters
    ----------
    codec : str
        A name of `STATED_ERROR_LEVELS`.
    """

    def __init__(self, codec: str) -> None:
        self._codec = codec
        self._worst = Difference(-1.0, 0, 0, 0)
        self._at = 0
        self._seen = 0

    def add(self, number: int, decoded: Pixels, drawn: Pixels) -> None:
        """Take the frame of a number, decoded and drawn, each of shape (H, W, 4)."""
        self._seen += 1
        found = difference(decoded, drawn)
        if found.levels > self._worst.levels:
            self._worst, self._at = found, number

    def finding(self) -> Finding:
        """Return a failure at the worst frame if one is further off than stated; else a pass."""
        allowed, worst = STATED_ERROR_LEVELS[self._codec], self._worst
        if self._seen == 0:
            return Finding("decode-back", "fail", "no frame was compared.", "Render it again.")
        if worst.levels <= allowed:
            message = (
                f"{self._seen} frames decode to what was drawn, at most {worst.levels:.1f} levels "
                f"off ({allowed:g} allowed)."
            )
            return Finding("decode-back", "pass", message)
        message = (
            f"the decoded frame is {worst.levels:.1f} levels off the drawn one at "
            f"({worst.x}, {worst.y}); expected {allowed:g} or fewer with {self._codec}."
        )
        remedy = "Render the clip again; if it stays so, report the encoder."
        return Finding("decode-back", "fail", message, remedy, frame=self._at)


def judge_ends(
    frames: Mapping[int, Pixels],
    *,
    handles: tuple[int, int],
    count: int,
    codec: str,
    leaves: bool = False,
) -> tuple[Finding, ...]:
    """Judge whether a clip begins empty and stands still at its end, or is empty there.

    Parameters
    ----------
    frames : Mapping[int, ndarray of shape (H, W, 4)]
        Decoded frames: 0, the cue's last (``count - 1 - handles[1]``) and the file's last.
    handles : (int, int)
        Frames before and after the cue.
    count : int
        Frames in the file.
    codec : str
        A name of `STATED_ERROR_LEVELS`.
    leaves : bool
        Whether the overlay leaves before its cue ends.
    """
    findings: list[Finding] = []
    remedy = "Report the overlay kind: nothing may show before the cue or move after it."
    if handles[0] > 0 and (alpha := int(frames[0][..., 3].max())) > _CLEAR_ALPHA:
        message = f"the first frame shows something (alpha up to {alpha}); expected nothing."
        findings.append(Finding("ends", "fail", message, remedy, frame=0))
    final, last = frames[count - 1 - handles[1]], frames[count - 1]
    empty = not (final[..., 3] > _CLEAR_ALPHA).any()
    if empty != leaves:
        message = (
            "the cue's last frame shows something; the overlay was to have left."
            if leaves
            else "the cue's last frame is empty; expected the overlay's final state."
        )
        findings.append(Finding("ends", "fail", message, remedy, frame=count - 1 - handles[1]))
    if (moved := difference(last, final)).levels > STATED_ERROR_LEVELS[codec]:
        message = (
            f"the last frame differs from the cue's final state by {moved.levels:.1f} levels at "
            f"({moved.x}, {moved.y}); expected a hold."
        )
        findings.append(Finding("ends", "fail", message, remedy, frame=count - 1))
    if findings:
        return tuple(findings)
    holds = "shows that it has left" if leaves else "holds the final state"
    message = f"the first frame is empty and the last {holds}."
    return (Finding("ends", "pass", message),)
