"""Telling entry colours apart, against a palette measured by a colour library."""

from __future__ import annotations

import pytest

from overlays.checks.colour_vision import NORMAL, judge_colours, pair_distances
from overlays.style.colour import Colour
from tests.outside import Row, rows

SHORT = {
    NORMAL: "normal",
    "protanopia": "Protan",
    "deuteranopia": "Deutan",
    "tritanopia": "Tritan",
}


@pytest.mark.parametrize("row", rows("colour_vision", "palette"), ids=lambda row: row.id)
def test_every_pair_is_as_far_apart_as_a_library_says(row: Row) -> None:
    """All pairs of two palettes, under four kinds of vision, agree to 0.05."""
    colours = {name: Colour.parse(text).rgb for name, text in row.input.items()}
    pairs = pair_distances(colours)
    for pair in pairs:
        expected = row.expected[SHORT[pair.vision]]["all"][f"{pair.first}|{pair.second}"]
        assert pair.distance == pytest.approx(expected, abs=0.05)
    assert len(pairs) == 4 * len(colours) * (len(colours) - 1) // 2


def test_red_and_green_fail_under_deuteranopia() -> None:
    """The negative control is told with its colours, its distance and the kind of vision."""
    (finding,) = judge_colours({"alder": (214, 39, 40), "birch": (44, 160, 44)})
    assert finding.verdict == "fail"
    for part in ("alder (#D62728)", "birch (#2CA02C)", "4.6 apart", "deuteranopia", "12"):
        assert part in finding.message


def test_a_pair_too_close_in_two_ways_is_told_once() -> None:
    """Two near-equal colours are one failure, not four."""
    findings = judge_colours({"a": (200, 30, 30), "b": (201, 30, 30), "c": (0, 0, 0)})
    assert [finding.verdict for finding in findings] == ["fail"]


def test_black_white_and_one_colour_pass() -> None:
    """Far colours, one colour and none at all pass."""
    assert judge_colours({"a": (0, 0, 0), "b": (255, 255, 255)})[0].verdict == "pass"
    assert judge_colours({"a": (0, 0, 0)})[0].verdict == "pass"
    assert judge_colours({})[0].verdict == "pass"
