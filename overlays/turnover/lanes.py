"""Overlays that share the screen lie on lanes: one video track each."""

from __future__ import annotations

from collections.abc import Sequence

from overlays.turnover.manifest import ManifestClip

__all__ = ["lanes"]


def lanes(clips: Sequence[ManifestClip]) -> tuple[tuple[ManifestClip, ...], ...]:
    """Spread clips over as few lanes as their overlaps need, the lowest free one first.

    Handles do not count: they are there to be trimmed into. A clip that begins where another ends
    follows it on the same lane.

    Returns
    -------
    tuple of tuple of ManifestClip
        In order of time within each lane; no lane is empty.
    """
    found: list[list[ManifestClip]] = []
    for clip in sorted(clips, key=lambda clip: (clip.first_frame, clip.cue)):
        free = (lane for lane in found if lane[-1].end_frame <= clip.first_frame)
        lane = next(free, None)
        if lane is None:
            lane = []
            found.append(lane)
        lane.append(clip)
    return tuple(tuple(lane) for lane in found)
