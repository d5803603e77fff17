"""The page: shapes, lengths, and the safe areas of EBU R 95 and SMPTE ST 2046-1."""

from __future__ import annotations

import pytest

from overlays.draw.page import Page
from overlays.style.house import load_style
from tests.outside import Row, rows


def page(width: int, height: int) -> Page:
    return Page(width, height, load_style("rule"))


@pytest.mark.parametrize("row", rows("safe_text", "px"), ids=lambda row: row.id)
@pytest.mark.parametrize("area", ["action", "graphics"])
def test_safe_areas_have_their_published_pixels(row: Row, area: str) -> None:
    """Action keeps 3.5 % and graphics 5 % of each side, rounded half up."""
    safe = getattr(page(row.input["W"], row.input["H"]), area)
    inclusive = [safe.left, safe.right - 1, safe.top, safe.bottom - 1]
    assert inclusive == row.expected[area]["inclusive_pixels_if_inset_rounded"]


def test_lengths_follow_the_shorter_side() -> None:
    """A token is the same share of the shorter side on every canvas, and never nothing."""
    assert [page(*size).px(30) for size in ((1920, 1080), (1080, 1920), (3840, 2160))] == [
        30, 30, 60,
    ]  # fmt: skip
    assert page(64, 36).px(2) == 1


def test_shapes_are_told_apart() -> None:
    """16:9 and 4:3 are wide, 9:16 and 4:5 tall, 1:1 square."""
    sizes = [(1920, 1080), (1440, 1080), (1080, 1920), (1080, 1350), (1080, 1080)]
    assert [page(*size).shape for size in sizes] == ["wide", "wide", "tall", "tall", "square"]


def test_no_type_is_smaller_than_the_styles_floor() -> None:
    """A face asked for smaller comes at the floor's size."""
    rule = page(1920, 1080)
    assert rule.face("text", 5).size == rule.px(rule.style.type.floor)
