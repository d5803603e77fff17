"""What worker processes do in tests; imported by them."""

from __future__ import annotations

import os
from pathlib import Path

from overlays.errors import RenderError
from overlays.render.parts import Part

__all__ = ["die_at_second_cue", "die_once", "refuse_second_cue", "write_name"]


def write_name(part: Part) -> str:
    """Write what was asked for, and by which process."""
    part.target.write_text(f"{part.clip.cue} {part.start} {part.stop}", encoding="utf-8")
    return "digest"


def die_once(part: Part) -> str:
    """Die without a word the first time, as a process killed for its memory does."""
    mark = part.target.with_suffix(".tried")
    if not mark.exists():
        mark.touch()
        os._exit(1)
    return write_name(part)


def die_at_second_cue(part: Part) -> str:
    """Die every time at the clips named by a file beside the target."""
    if _marked(part):
        os._exit(1)
    return write_name(part)


def refuse_second_cue(part: Part) -> str:
    """Fail with an error at the clips named by a file beside the target."""
    if _marked(part):
        raise RenderError("found a knot.", code="knot", remedy="Untie it.")
    return write_name(part)


def _marked(part: Part) -> bool:
    return part.clip.cue in Path(part.target.parent / "marked").read_text(encoding="utf-8").split()
