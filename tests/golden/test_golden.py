"""Every kind in every style and shape looks as when somebody last looked at it."""

from __future__ import annotations

import numpy as np
import pytest

from tests.golden.pictures import FAILURES, FOLDER, Golden, compare, draw, goldens, read, save

ALL = list(goldens())


@pytest.mark.parametrize("golden", ALL, ids=lambda golden: golden.name)
def test_the_picture_is_the_golden_one(golden: Golden) -> None:
    """A frame equals its golden picture within the stated tolerance; else both are kept."""
    got, wanted = draw(golden), read(golden)
    if wanted is None:
        path = save(got, FAILURES, f"{golden.name}_got")
        pytest.fail(f"no golden frame yet; look at {path.name}, see tests/golden/pictures.py")
    told = compare(got, wanted)
    if told:
        save(got, FAILURES, f"{golden.name}_got")
        save(wanted, FAILURES, f"{golden.name}_wanted")
        if got.shape == wanted.shape:
            apart = np.abs(got.astype(int) - wanted).max(axis=-1, keepdims=True)
            shown = np.repeat(np.clip(apart * 4, 0, 255), 4, axis=-1).astype(np.uint8)
            shown[..., 3] = 255
            save(shown, FAILURES, f"{golden.name}_difference")
    assert told == ""


def test_no_golden_frame_is_left_over() -> None:
    """A picture of a kind, style or shape that is gone is gone, too."""
    assert {path.stem for path in FOLDER.glob("*.png")} <= {golden.name for golden in ALL}


def test_a_change_of_one_pixels_place_is_seen() -> None:
    """The comparison is not so mild that a picture moved by one pixel would pass."""
    wanted = read(next(golden for golden in ALL if golden.kind == "curves"))
    assert wanted is not None
    assert compare(wanted, wanted) == ""
    assert "codes off" in compare(np.roll(wanted, 1, axis=1), wanted)
    assert "instead of" in compare(wanted[1:], wanted)
    fainter = wanted.copy()
    fainter[..., 3] = np.maximum(fainter[..., 3].astype(int) - 2, 0)
    assert compare(fainter, wanted) != ""
