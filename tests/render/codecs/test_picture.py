"""FFmpeg's pictures as arrays."""

from __future__ import annotations

import av
import numpy as np
import pytest

from overlays.render.codecs.picture import plane_views


@pytest.mark.parametrize(("width", "height"), [(64, 4), (33, 5), (1, 1)])
def test_planes_are_views_without_padding(width: int, height: int) -> None:
    """What is written into a view is in the picture; rows have the picture's width."""
    frame = av.VideoFrame(width, height, "yuva444p10le")
    views = plane_views(frame, np.uint16)
    assert [view.shape for view in views] == [(height, width)] * 4
    for number, view in enumerate(views):
        view[...] = 100 + number
    for number, plane in enumerate(frame.planes):
        rows = np.frombuffer(bytes(plane), np.uint16).reshape(height, -1)
        assert (rows[:, :width] == 100 + number).all()


def test_halved_planes_have_their_own_size() -> None:
    """Chroma of 4:2:0 is half as wide and high, rounded up."""
    views = plane_views(av.VideoFrame(33, 5, "yuv420p"), np.uint8)
    assert [view.shape for view in views] == [(5, 33), (3, 17), (3, 17)]


def test_packed_pixels_have_four_bytes() -> None:
    """A picture in one plane is an array of pixels."""
    frame = av.VideoFrame(33, 5, "bgra")
    (view,) = plane_views(frame, np.uint8)
    assert view.shape == (5, 33, 4)
    view[...] = (1, 2, 3, 4)
    assert frame.to_ndarray(format="rgba")[2, 20].tolist() == [3, 2, 1, 4]
