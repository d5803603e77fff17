"""Small episodes built by hand for the tests of the turnover."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from overlays.draw.patch import Layer, Patch, Scene
from overlays.model.clip import Clip, Stage
from overlays.model.outline import Beat, Outline
from overlays.model.result import Figure, Results, ScoreRow, Standing
from overlays.model.session import Session, SessionSpec
from overlays.plan import Episode
from overlays.render.batch import Rendered
from overlays.render.cache import digest
from overlays.render.codecs.registry import codec_named
from overlays.render.parts import write_frames
from overlays.timecode import Timebase
from overlays.turnover.manifest import Manifest, ManifestClip

__all__ = [
    "ALL_TIMEBASES",
    "Square",
    "beat",
    "clip",
    "episode",
    "listed",
    "manifest",
    "outline",
    "render",
    "results",
    "session",
    "unchecked",
]

ALL_TIMEBASES = tuple(
    Timebase(Fraction(rate), drop)
    for rate, drop in (
        ("24000/1001", False), ("24", False), ("25", False), ("30000/1001", False),
        ("30000/1001", True), ("30", False), ("48", False), ("50", False),
        ("60000/1001", False), ("60000/1001", True), ("60", False),
    )
)  # fmt: skip
NON_DROP_25 = Timebase(Fraction(25))


def unchecked(folder: Path, **episode: Any) -> Session:
    """Return that session with words in it that reading a session refuses."""
    made = session(folder)
    told = made.spec.episode.model_copy(update=episode)
    return replace(made, spec=made.spec.model_copy(update={"episode": told}))


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


def results(of: Session) -> Results:
    """Return made-up results of both entries: 12.5 l/min with a spread, and none."""
    shown = Figure("most", "brook", "open", 12.5, "l/min", 1, "12.5", (12.0, 12.5, 13.1), 2, 1.1, 3)
    gone = Figure(
        "most", "weir", "open", None, "l/min", 1, "–", (), None, None, 0, "no run of Open"
    )
    rows = (
        ScoreRow("brook", "Brook", {"flow": shown}, {"flow": Decimal("60.0")}, Decimal("60.0"), 1),
        ScoreRow("old", "Old & <b>", {"flow": None}, {"flow": Decimal("41.5")}, Decimal("41.5"), 2),
        ScoreRow("weir", "Weir", {"flow": gone}, {"flow": None}, None, None),
    )
    standings = tuple(
        Standing(row, previous, row.entry != "old")
        for row, previous in zip(rows, (None, rows[1], None), strict=True)
    )
    figures = {("most", "brook"): shown, ("most", "weir"): gone}
    return Results(of, {}, figures, standings)


def episode(folder: Path, timebase: Timebase = NON_DROP_25, **told: Any) -> Episode:
    """Return an episode of two beats, from ten hours on."""
    made = session(folder, timebase, **told)
    start = timebase.frame("10:00:00:00", either_mark=True)
    beats = [
        beat("one", start, 120, "Two taps, one bucket. Brook fills it first."),
        beat("two", start + 120, 100, "Weir never does. <b>Never</b> & not once."),
    ]
    return Episode(results(made), outline(timebase, beats))


class Square:
    """A scene: one red square that is there from the first frame on and grows to the right."""

    def __init__(self, of: Clip) -> None:
        self.width, self.height, self.frames = of.stage.width, of.stage.height, of.stage.frames
        pixels = np.zeros((16, 40, 4), np.uint8)
        pixels[...] = (200, 40, 40, 128)
        self._patches = [Patch(pixels[:, : 8 + i].copy()) for i in range(32)]

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the square of a frame."""
        return (Layer(self._patches[min(frame, 31)], 8, 8),)


def render(
    folder: Path, clips: Sequence[Clip], codec: str, scene: Callable[[Clip], Scene] = Square
) -> list[Rendered]:
    """Write clips of a `Square`, or another scene, with the real codec into a turnover's folder."""
    (folder / "clips").mkdir(parents=True, exist_ok=True)
    done = []
    for made in clips:
        path = folder / "clips" / made.file
        write_frames(made, scene(made), path, codec=codec_named(codec))
        done.append(Rendered(made, path, "rendered", (), digest(path)))
    return done
