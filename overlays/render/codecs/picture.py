"""FFmpeg's pictures: their bytes as arrays, and its numbers for what colours mean.

Primaries, transfer and matrix are counted as in ITU-T H.273, range and field order by FFmpeg.
"""

from __future__ import annotations

from typing import TypeVar

import av
import numpy as np
from numpy.typing import NDArray

__all__ = ["BT709", "FULL", "IDENTITY", "NARROW", "PROGRESSIVE", "plane_views"]

BT709 = 1  # as primaries, transfer and matrix
IDENTITY = 0  # the matrix of samples that are R'G'B'
NARROW, FULL = 1, 2
PROGRESSIVE = 1

S = TypeVar("S", np.uint8, np.uint16)


def plane_views(frame: av.VideoFrame, sample: type[S]) -> tuple[NDArray[S], ...]:
    """Return writable views of a picture's planes.

    Parameters
    ----------
    frame : av.VideoFrame
        Of a planar format, or of one with four bytes a pixel.
    sample : {np.uint8, np.uint16}
        What the planes hold.

    Returns
    -------
    tuple of ndarrays of shape (height, width) or (height, width, 4)
        One a plane.
    """
    views: list[NDArray[S]] = []
    packed = len(frame.planes) == 1
    for plane in frame.planes:
        rows = np.frombuffer(memoryview(plane), sample).reshape(plane.height, -1)
        used = rows[:, : plane.width * (4 if packed else 1)]
        views.append(used.reshape(plane.height, plane.width, 4) if packed else used)
    return tuple(views)
