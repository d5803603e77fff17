"""Least height of text; sources stand in data/checks/safe_text.json."""

from __future__ import annotations

import pytest

from overlays.checks.text_size import judge_text_size, least_text_px
from tests.outside import rows


def test_the_least_heights_are_the_published_ones() -> None:
    """30 lines of 1080, and 26 on an opaque block, also as shares of the height."""
    (rule,) = rows("safe_text", "text.BCAP")
    (share,) = rows("safe_text", "text.pct")
    heights = rule.expected["16:9 HD(1080)"]
    assert least_text_px(1920, 1080, on_block=False) == heights["preferred"]
    assert least_text_px(1920, 1080, on_block=True) == heights["on_opaque_block"]
    assert least_text_px(1920, 1080, on_block=False) / 10.80 == pytest.approx(
        share.expected["pct_of_height"]
    )


@pytest.mark.parametrize("canvas", [(3840, 2160), (2160, 3840), (2160, 2160)])
def test_other_shapes_scale_by_the_shorter_side(canvas: tuple[int, int]) -> None:
    """At twice the shorter side text must be twice as high, in any shape."""
    assert least_text_px(*canvas, on_block=True) == 52


def test_text_at_the_limit_passes_and_below_fails_with_both_heights() -> None:
    """26 px on a panel pass at 1080 lines, a whole pixel less does not."""
    canvas = (1920, 1080)
    assert judge_text_size("it", height_px=26, canvas=canvas, on_block=True).verdict == "pass"
    finding = judge_text_size("the footnote", height_px=25, canvas=canvas, on_block=True)
    assert finding.verdict == "fail"
    assert "the footnote is 25 px high; expected 26 or more at 1920x1080" in finding.message
