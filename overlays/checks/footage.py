"""A still of the footage that overlays will lie over, for measuring flashing over it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from overlays.draw.patch import Pixels
from overlays.errors import FootageError
from overlays.films import opened_film

__all__ = ["still_of"]


def still_of(footage: Path | None, width: int, height: int) -> Mapping[str, Pixels]:
    """Return a frame from the middle of footage, stretched to the canvas, under the name "footage".

    Parameters
    ----------
    footage : Path or None
        A camera file. Nothing comes back where there is none, or it cannot be read: whoever lays
        overlays over it is told then.
    width, height : int
        The canvas in pixels.
    """
    if footage is None:
        return {}
    try:
        with opened_film(footage) as container:
            if not container.streams.video:
                return {}
            stream = container.streams.video[0]
            if stream.duration and stream.time_base:
                container.seek(stream.duration // 2, stream=stream)
            for frame in container.decode(stream):
                picture = frame.reformat(width=width, height=height, format="rgb24")
                return {"footage": np.asarray(picture.to_ndarray(), np.uint8)}
    except FootageError:
        return {}
    return {}
