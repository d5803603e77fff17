"""Small episodes built by hand for the tests of the turnover."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from overlays.model.clip import Clip, Stage
from overlays.model.outline import Beat, Outline
from overlays.model.session import Session, SessionSpec
from overlays.timecode import Timebase
from overlays.turnover.manifest import Manifest, ManifestClip

__all__ = ["ALL_TIMEBASES", "beat", "clip", "listed", "manifest", "outline", "session"]

ALL_TIMEBASES = tuple(
    Timebase(Fraction(rate), drop)
    for rate, drop in (
        ("24000/1001", False), ("24", False), ("25", False), ("30000/1001", False),
        ("30000/1001", True), ("30", False), ("48", False), ("50", False),
        ("60000/1001", False), ("60000/1001", True), ("60", False),
    )
)  # fmt: skip
NON_DROP_25 = Timebase(Fraction(25))


def session(folder: Path, timebase: Timebase = NON_DROP_25, **episode: Any) -> Session:
    """Return a session of two entries and one figure."""
    told: dict[str, Any] = {
        "title": "Two taps, one bucket",
        "season": "Tap season",
        "number": 3,
        "date": "2026-02-03",
        "rate": str(timebase.rate),
        "timecode": "drop" if timebase.drop else "non-drop",
        "start": timebase.label(timebase.frame("10:00:00:00", either_mark=True)),
        "canvas": [64, 48],
        "cautions": ["Water and mains do not mix."],
    }
    spec = SessionSpec.model_validate(
        {
            "episode": told | episode,
            "entries": {"brook": {"name": "Brook"}, "weir": {"name": "Weir"}},
            "channels": {"flow": {"label": "flow", "column": "flow", "unit": "l/min"}},
            "tests": {
                "open": {"label": "Open", "length": "6 s", "channels": ["flow"], "main": "most"}
            },
            "figures": {
                "most": {"label": "most flow", "take": "peak", "test": "open", "channel": "flow"}
            },
            "points": {"flow": {"figure": "most", "most": 60}},
        }
    )
    return Session(folder, spec, (), {})


def clip(cue: str, first_frame: int, frames: int, timebase: Timebase, **changes: Any) -> Clip:
    """Return a clip without content."""
    known: dict[str, Any] = {
        "cue": cue,
        "kind": "curves",
        "beat": "one",
        "file": f"{cue}.mov",
        "first_frame": first_frame,
        "handles": (12, 8),
        "timebase": timebase,
        "stage": Stage(64, 48, timebase.rate, frames, "rule", "styles"),
        "content": None,
        "figures": (("most", "brook"), ("most", "weir")),
        "description": f"Flow of {cue}.",
    }
    return Clip(**(known | changes))


def listed(
    cue: str, first_frame: int, frames: int, timebase: Timebase, **changes: Any
) -> ManifestClip:
    """Return a clip as a manifest lists it; `frames` is the cue's own length."""
    known: dict[str, Any] = {
        "cue": cue,
        "kind": "curves",
        "beat": "one",
        "file": f"clips/{cue}.mov",
        "record_in": timebase.label(first_frame),
        "first_frame": first_frame,
        "frames": 12 + frames + 8,
        "handles": (12, 8),
        "rate": str(timebase.rate),
        "width": 64,
        "height": 48,
        "codec": "prores4444",
        "alpha": "straight",
        "sha256": "0" * 64,
        "figures": ("most.brook",),
        "description": f"Flow of {cue}.",
    }
    return ManifestClip(**(known | changes))


def manifest(timebase: Timebase, *clips: ManifestClip) -> Manifest:
    """Return a manifest of a session called taps."""
    return Manifest("taps", str(timebase.rate), (64, 48), clips)


def beat(name: str, first_frame: int, frames: int, narration: str = "", **changes: Any) -> Beat:
    """Return a beat without cues."""
    known: dict[str, Any] = {
        "beat": name,
        "title": name.capitalize(),
        "first_frame": first_frame,
        "frames": frames,
        "timed_by": "written",
        "narration": narration,
        "source": narration,
        "figures": (),
        "cues": (),
        "line": 1,
    }
    return Beat(**(known | changes))


def outline(timebase: Timebase, beats: Sequence[Beat]) -> Outline:
    """Return an outline of these beats."""
    return Outline("outline.md", timebase, tuple(beats))
