"""Safe areas against EBU R 95 and SMPTE ST 2046-1; sources stand in data/checks/safe_text.json."""

from __future__ import annotations

import numpy as np
import pytest

from overlays.checks.safe_area import ink_box, judge_safe_area
from overlays.draw.page import MARGINS_PERMILLE, safe_rect
from overlays.draw.patch import Pixels, Rect
from tests.outside import Row, rows


def canvas(width: int = 200, height: int = 100) -> Pixels:
    return np.zeros((height, width, 4), np.uint8)


def test_the_margins_are_the_published_shares() -> None:
    """Action keeps 3.5 % and graphics 5 % of each side, and not the other way round."""
    (row,) = rows("safe_text", "pct")
    margins = [MARGINS_PERMILLE["action"] / 10, MARGINS_PERMILLE["graphics"] / 10]
    assert margins == row.expected["margins_pct"]


@pytest.mark.parametrize("row", rows("safe_text", "px"), ids=lambda row: row.id)
@pytest.mark.parametrize("area", ["action", "graphics"])
def test_safe_areas_have_their_published_pixels(row: Row, area: str) -> None:
    """The rectangles of four canvases are right to the pixel."""
    safe = safe_rect(row.input["W"], row.input["H"], area=area)  # type: ignore[arg-type]
    inclusive = [safe.left, safe.right - 1, safe.top, safe.bottom - 1]
    assert inclusive == row.expected[area]["inclusive_pixels_if_inset_rounded"]


def test_the_ink_box_is_tight_and_ignores_haze() -> None:
    """The box holds visible pixels only: an alpha of 7 is haze, of 8 ink."""
    frame = canvas()
    frame[20:30, 40:60, 3] = 8
    frame[0, 0, 3] = 7
    assert ink_box(frame) == Rect(40, 20, 60, 30)
    assert ink_box(frame, faintest=1) == Rect(0, 0, 60, 30)
    assert ink_box(canvas()).empty


def test_ink_that_just_touches_the_edge_passes_and_one_pixel_more_fails() -> None:
    """The last pixel inside is safe, the next is told with its side and distance."""
    frame = canvas()
    frame[5:95, 10:190, 3] = 255
    assert judge_safe_area(frame).verdict == "pass"
    frame[50, 190, 3] = 255
    frame[3, 50, 3] = 255
    finding = judge_safe_area(frame, frame=12)
    assert finding.verdict == "fail"
    assert "2 px past its top edge and 1 px past its right edge" in finding.message
    assert finding.frame == 12


def test_action_reaches_further_than_graphics() -> None:
    """Ink in the outer margin passes as action and fails as graphics."""
    frame = canvas()
    frame[50, 8, 3] = 255
    assert judge_safe_area(frame, area="action").verdict == "pass"
    assert judge_safe_area(frame, area="graphics").verdict == "fail"


def test_an_empty_frame_is_safe() -> None:
    """Nothing drawn lies nowhere."""
    assert judge_safe_area(canvas()).verdict == "pass"
