"""What the picture shows, read from a frame of the file: curves, numbers, entry colours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from overlays.checks.colour_vision import judge_colours
from overlays.checks.digits import LEAST_SIZE_PX, read_number
from overlays.checks.findings import Finding
from overlays.checks.spread import Spread, read_spreads
from overlays.checks.truth import Reading, read_back
from overlays.checks.writing import Line, is_number, numbers_in
from overlays.draw.curve import CurveScene, draws_curves
from overlays.draw.patch import Pixels
from overlays.model.trace import Trace
from overlays.style.house import Style

__all__ = ["NumbersRead", "judge_curves", "judge_entry_colours", "read_numbers"]

# Drawn frames are within 1 px of the data; encoders blur an edge by a fraction of one.
_MOST_OFF_PX = 1.5
_MOST_STRAY = 4
# A pale edge is read less surely than a curve, as behind a line of the plot: a band is wrong where
# more than this share of its edges are, and not judged by fewer edges than this.
_MOST_OFF_SHARE, _FEW_EDGES = 0.25, 12
# A thinner line covers half of no pixel where it is steep.
_LEAST_WIDTH_PX, _LEAST_PLOT_PX = 1.5, 50


@dataclass(frozen=True, slots=True)
class NumbersRead:
    """The numbers of a frame.

    Parameters
    ----------
    texts : tuple of str
        As read. Those in lines of other words, and those too small to be read, as set; none of
        those that something lies over.
    finding : Finding
        Whether they are the ones that were set.
    """

    texts: tuple[str, ...]
    finding: Finding


def read_numbers(lines: Sequence[Line], pixels: Pixels, *, frame: int | None = None) -> NumbersRead:
    """Read every number of a frame that stands clear and is large enough.

    Parameters
    ----------
    lines : sequence of Line
        What is written in it, and where.
    pixels : ndarray of shape (H, W, 4)
        The decoded frame.
    frame : int, optional
        Which frame of the file.
    """
    read: list[str] = []
    seen = 0
    for line in lines:
        if not line.clear:
            continue
        if not is_number(line.text) or line.size < LEAST_SIZE_PX:
            read += numbers_in(line.text)
            continue
        found = read_number(line, pixels)
        read.append(found)
        seen += 1
        if found != line.text:
            message = f"the picture reads {found!r} where {line.text!r} was set."
            remedy = "Render the clip again; if it stays so, report the overlay kind."
            failed = Finding("numbers", "fail", message, remedy, frame=frame)
            return NumbersRead(tuple(read), failed)
    message = f"{seen} numbers in the picture read as they were set."
    return NumbersRead(tuple(read), Finding("numbers", "pass", message, frame=frame))


class _Band(Protocol):
    @property
    def time_s(self) -> NDArray[np.float64]: ...
    @property
    def low(self) -> NDArray[np.float64]: ...
    @property
    def high(self) -> NDArray[np.float64]: ...


class _Line(Protocol):
    @property
    def key(self) -> str: ...
    @property
    def time_s(self) -> NDArray[np.float64]: ...
    @property
    def values(self) -> NDArray[np.float64]: ...
    @property
    def band(self) -> _Band | None: ...


@runtime_checkable
class _Lines(Protocol):
    @property
    def drawn(self) -> Sequence[_Line]: ...


def judge_curves(
    scene: object, content: object, pixels: Pixels, *, overlay_frame: int, frame: int
) -> Finding | None:
    """Hold the curves of a decoded frame to their data; None where an overlay draws none.

    Parameters
    ----------
    scene, content : object
        An overlay's; they are looked at where they have curves and lines.
    pixels : ndarray of shape (H, W, 4)
        The decoded frame.
    overlay_frame, frame : int
        Which frame of the overlay, and of the file.
    """
    if not (draws_curves(scene) and isinstance(content, _Lines)):
        return None
    plot = scene.axes_of(overlay_frame, scene.curves[-1]).plot
    thin = any(curve.width < _LEAST_WIDTH_PX for curve in scene.curves)
    if thin or plot.right - plot.left < _LEAST_PLOT_PX:
        return Finding("curves", "pass", "the canvas is too small for its curves to be read.")
    traces = {
        line.key: Trace("shown", "1", line.time_s.copy(), line.values.copy())
        for line in content.drawn
    }
    readings = read_back(scene, overlay_frame, pixels, traces)
    off = max(readings, key=lambda reading: reading.worst_px, default=None)
    if off is None:
        return None
    remedy = "Render the clip again; if it stays so, report the overlay kind."
    if off.worst_px > _MOST_OFF_PX:
        message = (
            f"the curve of {off.curve!r} lies {off.worst_px:.1f} px ({off.worst_value:.3g}) from "
            f"its data at {off.at_s:.2f} s; expected {_MOST_OFF_PX:g} px or fewer."
        )
        return Finding("curves", "fail", message, remedy, frame=frame)
    astray = _past_end(readings) or _spread_astray(scene, content, pixels, overlay_frame)
    if astray:
        return Finding("curves", "fail", astray, remedy, frame=frame)
    columns = sum(reading.columns for reading in readings)
    message = (
        f"{len(readings)} curves lie on their data, at most {off.worst_px:.2f} px off in "
        f"{columns} columns."
    )
    return Finding("curves", "pass", message, frame=frame)


def _past_end(readings: Sequence[Reading]) -> str:
    """Say which curve goes on past its end; empty where none does."""
    for reading in readings:
        if reading.stray > _MOST_STRAY:
            return f"{reading.stray} pixels of the curve of {reading.curve!r} lie past its end."
    return ""


def _spread_astray(scene: CurveScene, content: _Lines, pixels: Pixels, frame: int) -> str:
    """Say which spread lies elsewhere than its data; empty where none does."""
    spreads = {
        line.key: Spread(line.band.time_s, line.band.low, line.band.high)
        for line in content.drawn
        if line.band is not None
    }
    for band in read_spreads(scene, frame, pixels, spreads):
        if band.edges >= _FEW_EDGES and band.off > _MOST_OFF_SHARE * band.edges:
            return (
                f"the spread of {band.curve!r} lies elsewhere than its repeats in {band.off} of "
                f"{band.edges} places."
            )
    return ""


def judge_entry_colours(
    content: object, style: Style, drawn: Pixels | None = None, *, frame: int | None = None
) -> tuple[Finding, ...]:
    """Judge whether the entries of a frame can be told apart by the colours it holds.

    Parameters
    ----------
    content : object
        An overlay's; entries are what in it has a name and a place in the session (``colour``).
    style : Style
        Whose palette was used.
    drawn : ndarray of shape (H, W, 4), optional
        The frame; a colour that is nowhere in it is not judged.
    frame : int, optional
        Which frame of the file.

    Returns
    -------
    tuple of Finding
        Failures of pairs, or a pass; a caution where entries share a colour because there are more
        of them than colours.
    """
    shown: dict[tuple[int, int, int], dict[str, None]] = {}
    for name, place in _entries(content):
        rgb = style.colours.entry(place).rgb
        if drawn is None or _holds(drawn, rgb):
            shown.setdefault(rgb, {})[name] = None
    found = list(judge_colours({" and ".join(names): rgb for rgb, names in shown.items()}))
    shared = [" and ".join(names) for names in shown.values() if len(names) > 1]
    if shared:
        message = f"{', '.join(shared)} have the same colour: the style has too few for them all."
        remedy = "Show fewer entries together, or add colours to the style's palette."
        found.append(Finding("colour-vision", "caution", message, remedy))
    return tuple(replace(item, frame=frame) for item in found)


def _holds(drawn: Pixels, rgb: tuple[int, int, int]) -> bool:
    code = np.array([(*rgb, 255)], np.uint8).view(np.uint32)[0, 0]
    return bool((np.ascontiguousarray(drawn).view(np.uint32)[..., 0] == code).any())


def _entries(content: object) -> Iterator[tuple[str, int]]:
    if is_dataclass(content) and not isinstance(content, type):
        place, name = getattr(content, "colour", None), getattr(content, "name", None)
        if isinstance(place, int) and isinstance(name, str):
            yield name, place
        for field in fields(content):
            yield from _entries(getattr(content, field.name))
    elif isinstance(content, Mapping):
        for value in content.values():
            yield from _entries(value)
    elif isinstance(content, Sequence) and not isinstance(content, str):
        for value in content:
            yield from _entries(value)
