"""The timeline: OpenTimelineIO.

OpenTimelineIO keeps rates as floating-point numbers and times as a value and a rate. Every time
here carries the timeline's own rate and a whole value, so that no arithmetic rounds: the rate is
only a label, and a position after ten hours is as exact as the first.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import quote

import opentimelineio as otio

from overlays.model.clip import CODECS
from overlays.model.outline import Beat, Outline
from overlays.model.plain_text import clean_text
from overlays.turnover.lanes import lanes
from overlays.turnover.manifest import Manifest, ManifestClip
from overlays.turnover.numbered import Numbered
from overlays.turnover.programme import Programme
from overlays.turnover.reels import reels

__all__ = ["NAMESPACE", "timeline", "timeline_text"]

# Our own corner of the metadata, as OpenTimelineIO asks of every writer.
NAMESPACE = "tracereel"


def timeline(
    manifest: Manifest,
    outline: Outline,
    span: Programme,
    *,
    numbered: dict[str, Numbered] | None = None,
) -> otio.schema.Timeline:
    """Build the timeline: one video track a lane, clips at their record times, beats as markers.

    Parameters
    ----------
    manifest : Manifest
        The clips.
    outline : Outline
        The beats.
    span : Programme
        Where the timeline begins.
    numbered : dict of str to Numbered, optional
        By cue, for clips that are folders of numbered files.

    Returns
    -------
    opentimelineio.schema.Timeline
        ``global_start_time`` is the programme's first frame. Markers lie on the timeline's stack
        and count from there, as every child of a stack does. A clip's source range is the cue
        without its handles, in the file's own timecode; its available range is the whole file.
    """
    rate = manifest.frame_rate
    built = otio.schema.Timeline(
        name=manifest.session,
        global_start_time=_time(span.first_frame, rate),
        metadata={NAMESPACE: _about(manifest, span)},
    )
    names = reels(manifest.clips)
    for number, lane in enumerate(lanes(manifest.clips), start=1):
        track = otio.schema.Track(
            name="overlays" if number == 1 else f"overlays {number}",
            kind=otio.schema.TrackKind.Video,
        )
        _fill(track, lane, span.first_frame, names, numbered or {})
        built.tracks.append(track)
    built.tracks.markers.extend(_marker(beat, span.first_frame, rate) for beat in outline.beats)
    return built


def timeline_text(built: otio.schema.Timeline) -> str:
    """Return a timeline as the text of an ``.otio`` file; the same timeline gives the same text."""
    return str(built.to_json_string(indent=2)) + "\n"


def _about(manifest: Manifest, span: Programme) -> dict[str, Any]:
    return {
        "rate": manifest.rate,
        "timecode": "drop" if span.timebase.drop else "non-drop",
        "canvas": list(manifest.canvas),
    }


def _time(frame: int, rate: Fraction) -> otio.opentime.RationalTime:
    return otio.opentime.RationalTime(frame, float(rate))


def _range(first_frame: int, frames: int, rate: Fraction) -> otio.opentime.TimeRange:
    return otio.opentime.TimeRange(_time(first_frame, rate), _time(frames, rate))


def _fill(
    track: otio.schema.Track,
    lane: tuple[ManifestClip, ...],
    start_frame: int,
    names: dict[str, str],
    numbered: dict[str, Numbered],
) -> None:
    reached = start_frame
    for listed in lane:
        rate = Fraction(listed.rate)
        if listed.first_frame > reached:
            gap = _range(0, listed.first_frame - reached, rate)
            track.append(otio.schema.Gap(source_range=gap))
        track.append(_clip(listed, names[listed.cue], numbered.get(listed.cue)))
        reached = listed.end_frame


def _clip(listed: ManifestClip, reel: str, numbered: Numbered | None) -> otio.schema.Clip:
    rate = Fraction(listed.rate)
    return otio.schema.Clip(
        name=listed.cue,
        media_reference=_media(listed, numbered),
        source_range=_range(listed.first_frame, listed.cue_frames, rate),
        metadata={
            NAMESPACE: {
                "cue": listed.cue,
                "kind": listed.kind,
                "beat": listed.beat,
                "record_in": listed.record_in,
                "handles": list(listed.handles),
                "alpha": listed.alpha,
                "codec": listed.codec,
                "figures": list(listed.figures),
                "description": listed.description,
            },
            "cmx_3600": {"reel": reel},
        },
    )


def _media(
    listed: ManifestClip, numbered: Numbered | None
) -> otio.schema.ExternalReference | otio.schema.ImageSequenceReference:
    whole = _range(listed.file_first_frame, listed.frames, Fraction(listed.rate))
    name = PurePosixPath(listed.file).name
    if CODECS.get(listed.codec) or numbered is None:
        return otio.schema.ExternalReference(target_url=quote(listed.file), available_range=whole)
    media = otio.schema.ImageSequenceReference(
        target_url_base=quote(listed.file) + "/",
        name_prefix=quote(numbered.prefix),
        name_suffix=numbered.suffix,
        start_frame=numbered.first,
        frame_step=1,
        rate=float(Fraction(listed.rate)),
        frame_zero_padding=numbered.padding,
        available_range=whole,
    )
    media.name = name
    return media


def _marker(beat: Beat, start_frame: int, rate: Fraction) -> otio.schema.Marker:
    return otio.schema.Marker(
        name=clean_text(beat.title),
        marked_range=_range(beat.first_frame - start_frame, beat.frames, rate),
        color=otio.schema.MarkerColor.GREEN,
        metadata={NAMESPACE: {"beat": beat.beat, "timed_by": beat.timed_by}},
    )
