"""What a clip's file shows, judged by its own frames alone: nothing is known of what was drawn.

This is what can be proved of a turnover without its session. What was found while a clip was drawn
(`overlays.checks.judge_clip`) says more, and is kept on the review page.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import islice
from pathlib import Path

import numpy as np

from overlays.checks.decoding import Codes, decode_once
from overlays.checks.findings import Finding, each_once
from overlays.checks.flash_bound import FlashBound
from overlays.checks.flash_definitions import MOST_FLASHES
from overlays.checks.flashing import STILLS, judge_bound, judge_flashing, measure_flashing
from overlays.checks.levels import judge_stored_levels
from overlays.checks.safe_area import LEAST_CANVAS_PX, judge_safe_area
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.patch import Pixels, Rect

__all__ = ["FileWatch", "judge_shown", "watch_file"]

# The shorter side at which flashing is looked at, at least.
_LOOKED_AT_PX = 270


@dataclass(slots=True)
class FileWatch:
    """What came out of a file decoded to its end.

    Parameters
    ----------
    frames : int
        How many there are.
    kept : dict of int to (ndarray of shape (H, W, 4), Codes or None)
        The frames that were asked for, as decoded.
    size : (int, int)
        Width and height at which flashing is looked at.
    bound : FlashBound or None
        Whether anything may flash; None where there is no frame.
    """

    frames: int = 0
    size: tuple[int, int] = (0, 0)
    kept: dict[int, tuple[Pixels, Codes | None]] = field(default_factory=dict)
    bound: FlashBound | None = None


def watch_file(path: Path, *, rate: Fraction, keep: Collection[int]) -> FileWatch:
    """Decode a clip to its end.

    Parameters
    ----------
    path : Path
        A file, or a folder of numbered pictures.
    rate : Fraction
        Frames per second.
    keep : collection of int
        Frames to keep, counted from 0.

    Raises
    ------
    TurnoverError
        If it is damaged.
    """
    seen = FileWatch()
    for frame, count in decode_once(path):
        if seen.bound is None:
            height, width = frame.whole()[0].shape[:2]
            # Flashes are a matter of area: cells of a few pixels tell them.
            shrink = max(1, min(width, height) // _LOOKED_AT_PX)
            seen.size = width // shrink, height // shrink
            seen.bound = FlashBound(*seen.size, rate=rate)
        all_over = [Rect(0, 0, *seen.size)]
        small = np.ascontiguousarray(frame.small(*seen.size))
        for number in range(seen.frames, seen.frames + count):
            seen.bound.add(small, all_over if number == seen.frames else [])
            if number in keep:
                pixels, codes = frame.whole()
                seen.kept[number] = pixels.copy(), None if codes is None else codes.copy()
        seen.frames += count
    return seen


def judge_shown(path: Path, seen: FileWatch, *, rate: Fraction) -> tuple[Finding, ...]:
    """Judge flashing, safe area and levels.

    Parameters
    ----------
    path : Path
        The clip.
    seen : FileWatch
        Of the same file; safe area and levels are judged of the frames kept.
    rate : Fraction
        Frames per second.

    Returns
    -------
    tuple of Finding
        Passes among them; frames count from the file's first.

    Raises
    ------
    TurnoverError
        If it cannot be decoded once more.
    """
    found = list(_flashing(path, seen, rate))
    for number, (pixels, codes) in seen.kept.items():
        found.append(judge_stored_levels(codes, frame=number))
        if min(pixels.shape[:2]) >= LEAST_CANVAS_PX:
            found.append(judge_safe_area(pixels, frame=number))
    return each_once(found)


def _flashing(path: Path, seen: FileWatch, rate: Fraction) -> tuple[Finding, ...]:
    bound = seen.bound
    if bound is None:
        return ()
    if not bound.doubtful_frames:
        return (judge_bound(bound),)
    behind = {name: BACKDROPS[name](*seen.size) for name in STILLS}
    (within,) = bound.telling([Rect(0, 0, *seen.size)])
    frames = ((small, [within] if new else []) for small, new in _frame_by_frame(path, seen.size))
    verdicts = measure_flashing(
        islice(frames, bound.doubtful_frames), behind, rate=rate, within=within
    )
    return judge_flashing(verdicts, least=MOST_FLASHES)


def _frame_by_frame(path: Path, size: tuple[int, int]) -> Iterator[tuple[Pixels, bool]]:
    for frame, count in decode_once(path):
        small = np.ascontiguousarray(frame.small(*size))
        for held in range(count):
            yield small, held == 0
