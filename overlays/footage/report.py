"""What was found in a camera file, told as text or as a document."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from overlays.errors import FootageError
from overlays.footage.placing import Placed

__all__ = ["doubt", "placed_document", "placed_text", "session_lines"]


def placed_document(placed: Placed, session: Path) -> dict[str, Any]:
    """Return what was found as the JSON document that scripts rely on.

    Times are in seconds of the footage, whose first shown picture is at 0 and has the number 0.
    """
    found, clock = placed.found, placed.clock
    offset_s = found.offset_s
    frame = None if offset_s is None else clock.nearest(offset_s)
    return {
        "run": placed.run,
        "footage": placed.footage.name,
        "by": found.by,
        "sure": found.sure,
        "offset_s": _rounded(offset_s),
        "error_s": _rounded(found.error_s),
        "timecode": None if offset_s is None else clock.label(offset_s),
        "frame": frame,
        "frame_s": None if frame is None else _rounded(float(clock.frames_s[frame])),
        "places": [
            {"offset_s": _rounded(place.offset_s), "weight": place.weight} for place in found.places
        ],
        "message": _message(placed),
        "remedy": found.remedy,
        "session_lines": session_lines(placed, session),
    }


def placed_text(placed: Placed, session: Path) -> str:
    """Return what was found as lines to read, with the lines for session.toml."""
    lines = [_message(placed)]
    offset_s = placed.found.offset_s
    if offset_s is not None:
        lines += _where(placed, offset_s)
    if placed.found.sure:
        lines += ["", "Previews follow the picture with this in session.toml:", ""]
        lines += session_lines(placed, session).rstrip("\n").split("\n")
    return "\n".join(lines) + "\n"


def _where(placed: Placed, offset_s: float) -> list[str]:
    told: list[str] = []
    label = placed.clock.label(offset_s)
    if label is not None:
        told.append(f"timecode {label}")
    frame = placed.clock.nearest(offset_s)
    if frame is not None:
        told.append(f"frame {frame}, shown at {placed.clock.frames_s[frame]:.3f} s")
    return [" · ".join(told)] if told else []


def _message(placed: Placed) -> str:
    found, name = placed.found, placed.footage.name
    if found.offset_s is None:
        return f"{placed.run} was not found in {name}: {found.why}."
    place = f"begins at {found.offset_s:.3f} s of {name}"
    if found.error_s is not None:
        place += f", within {found.error_s:.3f} s"
    if found.sure:
        return f"{placed.run} {place}."
    return f"Unsure: {placed.run} perhaps {place}; {found.why}."


def session_lines(placed: Placed, session: Path) -> str:
    """Return the table for session.toml; empty where the place is not sure."""
    if not placed.found.sure or placed.found.offset_s is None:
        return ""
    file, home = placed.footage.resolve(), session.resolve()
    inside = file.is_relative_to(home)
    written = file.relative_to(home).as_posix() if inside else f"footage/{file.name}"
    copied = "" if inside else "  # copy the file there first"
    quoted = written.replace("\\", "\\\\").replace('"', '\\"')
    return (
        f'[[footage]]\nfile = "{quoted}"{copied}\nrun = "{placed.run}"\n'
        f'starts = "{placed.found.offset_s:.3f} s"\n'
    )


def doubt(placed: Placed) -> FootageError:
    """Return the error that an unsure place is."""
    return FootageError(
        f"{placed.found.why}.",
        code="unsure" if placed.found.places else "not-found",
        file=placed.footage.name,
        remedy=placed.found.remedy,
    )


def _rounded(time_s: float | None) -> float | None:
    return None if time_s is None else round(time_s, 4)
