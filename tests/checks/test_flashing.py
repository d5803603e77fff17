"""Flash limits, against vectors whose verdicts follow from the definitions.

The vectors, their sources and how far these are to be trusted stand in data/checks/flashing.json.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.checks.flash_definitions import FIELD_SHARE, MOST_FLASHES, states_of
from overlays.checks.flash_meter import FlashMeter, FlashVerdict
from overlays.checks.flashing import NO_GUARANTEE, judge_flashing, measure_flashing
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.patch import Pixels, Rect
from tests.outside import Row, rows

VECTORS = rows("flashing", "vec.")
# The vectors' raster at an eighth of its size: every cell still is one pixel.
WIDTH, HEIGHT = 128, 96


def sequence(row: Row) -> list[tuple[float, float, float]]:
    """Return the linear RGB of each frame of a vector, continued as its description says."""
    name, frames = row.id.removeprefix("vec."), row.input["frames"]
    levels = row.input["luminance_first_24"]
    colours = row.input["rgb_first_12"] or [[level] * 3 for level in levels]
    if name == "staircase":
        colours = [[n / 29] * 3 for n in range(frames)]
    elif name == "cut":
        colours = [[float(n >= 25)] * 3 for n in range(frames)]
    elif name == "spread4":
        # Ten frames of rest, eight changes seven frames apart, rest again.
        colours = [[float(0 <= n - 10 < 56 and (n - 10) // 7 % 2 == 0)] * 3 for n in range(frames)]
    elif name == "lower_third_in_out":
        up = [0.1] * 10 + [0.1 + 0.06 * n for n in range(11)] + [0.7] * 25
        colours = [[level] * 3 for level in up + up[20:9:-1] + [0.1] * 10]
    period = {"3perSec": 10, "strobe25": 2, "strobe5994": 4, "static": 1}.get(name, 6)
    if len(colours) < frames:
        colours = [colours[n % period] for n in range(frames)]
    given_levels = [colour[0] for colour in colours[: len(levels)]]
    assert not levels or given_levels == pytest.approx(levels, abs=1e-6), "misread vector"
    return [(red, green, blue) for red, green, blue in colours[:frames]]


def measured(row: Row, *, width: int, height: int, flashing: Rect) -> FlashVerdict:
    meter = FlashMeter(width, height, rate=Fraction(row.input["fps"]), backdrops=[""], cell_px=1)
    light = np.zeros((height, width, 3), np.float32)
    for colour in sequence(row):
        light[flashing.top : flashing.bottom, flashing.left : flashing.right] = colour
        meter.add_light(light, changed=[flashing])
    return meter.verdicts()[0]


@pytest.mark.parametrize(
    "row",
    [row for row in VECTORS if row.input["flash_fraction_of_screen"] == 1],
    ids=lambda r: r.id,
)
def test_flashes_of_the_whole_screen_are_judged_as_defined(row: Row) -> None:
    """Counts within a second and all three verdicts follow from the definitions."""
    verdict = measured(row, width=WIDTH, height=HEIGHT, flashing=Rect(0, 0, WIDTH, HEIGHT))
    general, red20, red22 = verdict.counts
    assert general.most_per_s == row.expected["general_flashes_max_1s"]
    assert red20.most_per_s == row.expected["red_flashes_2.0"]
    assert red22.most_per_s == row.expected["red_flashes_2.2"]
    assert (general.passed and red20.passed) == (row.expected["WCAG(2.0 red)"] == "pass")
    assert (general.passed and red22.passed) == (row.expected["WCAG(2.2 red)"] == "pass")
    assert verdict.quarter_of_screen == (row.expected["BT.1702-like(25% screen)"] == "pass")
    assert verdict.passed == (general.passed and red20.passed and red22.passed)


@pytest.mark.parametrize(
    ("name", "flashing"),
    [
        # In pixels of 1024 x 768, as the vectors give them.
        ("small_area", Rect(400, 300, 500, 400)),
        ("area20pct", Rect(0, 0, 512, 307)),
        ("area_edge", Rect(7, 11, 348, 75)),
    ],
)
def test_the_flashing_area_is_judged_to_the_pixel(name: str, flashing: Rect) -> None:
    """Areas of 1024 x 768 pass and fail as defined, the stricter reading deciding."""
    (row,) = rows("flashing", f"vec.{name}")
    verdict = measured(row, width=1024, height=768, flashing=flashing)
    assert abs(flashing.area - row.input["flash_area_px_of_1024x768"]) < 512
    assert verdict.counts[0].most_per_s == row.expected["general_flashes_max_1s"]
    assert verdict.passed == (row.expected["WCAG(2.2 red)"] == "pass")
    assert verdict.quarter_of_screen == (row.expected["BT.1702-like(25% screen)"] == "pass")


def test_one_row_more_than_a_quarter_of_the_field_fails() -> None:
    """341 x 64 pixels are a quarter of a 341 x 256 field and pass; one row more fails."""
    (row,) = rows("flashing", "vec.area_edge")
    (area,) = rows("flashing", "def.area")
    assert Rect(0, 0, 341, 64).area == area.expected["area_px"]
    edge = measured(row, width=1024, height=768, flashing=Rect(0, 0, 341, 64))
    assert edge.counts[0].field_share == FIELD_SHARE
    assert edge.passed
    assert not measured(row, width=1024, height=768, flashing=Rect(0, 0, 341, 65)).passed


def test_small_areas_far_apart_do_not_add_up_but_near_ones_do() -> None:
    """Only what one field of view holds counts together."""
    (row,) = rows("flashing", "vec.4perSec")

    def passed(second: int) -> bool:
        meter = FlashMeter(300, 90, rate=Fraction(24), backdrops=[""], cell_px=1)
        light = np.zeros((90, 300, 3), np.float32)
        for colour in sequence(row):
            light[:30, :15] = light[:30, second : second + 15] = colour
            meter.add_light(light)
        return meter.verdicts()[0].passed

    assert passed(200)
    assert not passed(50)


def test_the_limits_are_the_published_ones() -> None:
    """Three flashes a second and a quarter of the field, as WCAG's glossary says."""
    (general,) = rows("flashing", "def.general")
    (area,) = rows("flashing", "def.area")
    assert general.expected["max_flashes_per_1s"] == MOST_FLASHES
    assert area.expected["fraction_of_10deg_field"] == FIELD_SHARE


def test_the_chromaticity_of_red_is_the_published_one() -> None:
    """Full red has WCAG's u'v' and lies its published distance from white; black is (0, 0)."""
    (row,) = rows("flashing", "uv.red")
    light = np.array([[[1, 0, 0], [1, 1, 1], [0.002, 0, 0]]], np.float32)
    red, white, black = states_of(light)[2][1:, 0].T
    assert red == pytest.approx(row.expected["uv"], abs=1e-6)
    assert np.hypot(*(red - white)) == pytest.approx(row.expected["distance"], abs=1e-6)
    assert black.tolist() == [0, 0]


def blinking(
    box: Rect, *, width: int = 320, height: int = 180, every: int = 3, frames: int = 48
) -> Iterator[tuple[Pixels, Sequence[Rect] | None]]:
    pixels = np.zeros((height, width, 4), np.uint8)
    part = pixels[box.top : box.bottom, box.left : box.right]
    for frame in range(frames):
        changes = frame % every == 0
        if changes:
            part[...] = 255 if frame // every % 2 else 0
        yield pixels, ([box] if changes else [])


def test_a_white_flash_shows_over_black_and_not_over_white() -> None:
    """The backdrop decides: white blinking fails over black, passes over white."""
    backdrops = {name: BACKDROPS[name](320, 180) for name in ("white", "black")}
    white, black = measure_flashing(blinking(Rect(0, 0, 160, 90)), backdrops, rate=Fraction(24))
    assert (white.backdrop, white.passed, white.frames) == ("white", True, 48)
    assert (black.backdrop, black.passed, black.counts[0].most_per_s) == ("black", False, 4)


def test_a_failure_names_its_first_frame_backdrop_and_caution() -> None:
    """The finding says what flashes, from where on it is too much, and is no guarantee."""
    backdrops = {name: BACKDROPS[name](320, 180) for name in ("white", "black")}
    verdicts = measure_flashing(blinking(Rect(0, 0, 160, 90)), backdrops, rate=Fraction(24))
    (finding,) = judge_flashing(verdicts)
    # Changes fall on frames 3, 6, 9 …: the eighth, which ends the fourth flash, on frame 24.
    assert (finding.verdict, finding.frame) == ("fail", 24)
    assert "general flashes: 4 within a second over black" in finding.message
    assert NO_GUARANTEE in finding.message


def test_a_pass_says_how_many_and_that_it_is_no_guarantee() -> None:
    """Two flashes a second pass, with the count and the caution."""
    backdrops = {"black": BACKDROPS["black"](320, 180)}
    frames = blinking(Rect(0, 0, 160, 90), every=6)
    (finding,) = judge_flashing(measure_flashing(frames, backdrops, rate=Fraction(24)))
    assert finding.verdict == "pass"
    assert "at most 2 flashes" in finding.message
    assert NO_GUARANTEE in finding.message


def test_red_blinking_is_told_as_red() -> None:
    """Red on black fails under the general and both red definitions, each told."""
    pixels = np.zeros((90, 160, 4), np.uint8)
    pixels[..., 0] = 255

    def frames() -> Iterator[tuple[Pixels, None]]:
        for frame in range(48):
            pixels[..., 3] = 255 if frame // 3 % 2 else 0
            yield pixels, None

    verdicts = measure_flashing(frames(), {"black": BACKDROPS["black"](160, 90)}, rate=Fraction(24))
    told = [finding.message.split(" flashes")[0] for finding in judge_flashing(verdicts)]
    assert told == ["general", "red (WCAG 2.0)", "red (WCAG 2.2)"]


RECTS = st.builds(
    lambda x, y, w, h: Rect(x, y, min(x + w, 47), min(y + h, 31)),
    st.integers(0, 46), st.integers(0, 30), st.integers(1, 47), st.integers(1, 31),
)  # fmt: skip
CHANGES = st.lists(
    st.lists(st.tuples(RECTS, st.tuples(*[st.integers(0, 255)] * 4)), max_size=2), max_size=12
)


@settings(max_examples=40)
@given(CHANGES, st.integers(1, 5))
def test_changed_rectangles_give_the_verdict_of_whole_frames(
    changes: list[list[tuple[Rect, tuple[int, ...]]]], cell: int
) -> None:
    """Being told what changed, or measuring backdrops one by one, alters nothing."""
    rate, names = Fraction(30000, 1001), ("busy", "white")
    told = FlashMeter(47, 31, rate=rate, backdrops=names, cell_px=cell)
    whole = FlashMeter(47, 31, rate=rate, backdrops=names, cell_px=cell)
    apart = [FlashMeter(47, 31, rate=rate, backdrops=[name], cell_px=cell) for name in names]
    pictures = [BACKDROPS[name](47, 31) for name in names]
    pixels = np.zeros((31, 47, 4), np.uint8)
    for step in [[], *changes]:
        for rect, rgba in step:
            pixels[rect.top : rect.bottom, rect.left : rect.right] = rgba
        told.add(pixels, pictures, changed=[rect for rect, _ in step])
        whole.add(pixels, pictures)
        for meter, picture in zip(apart, pictures, strict=True):
            meter.add(pixels, [picture])
    assert told.verdicts() == whole.verdicts()
    assert whole.verdicts() == tuple(verdict for meter in apart for verdict in meter.verdicts())


def test_a_still_overlay_over_flashing_footage_fails() -> None:
    """Moving backdrops count: a panel's transparent parts show what flashes behind."""
    meter = FlashMeter(90, 60, rate=Fraction(25), backdrops=["footage"])
    clear = np.zeros((60, 90, 4), np.uint8)
    for frame in range(50):
        level = 255 * (frame // 2 % 2)
        meter.add(clear, [np.full((60, 90, 3), level, np.uint8)])
    assert not meter.verdicts()[0].passed


def test_cells_average_light_so_that_a_fine_balanced_pattern_is_no_flash() -> None:
    """A one-pixel checkerboard that inverts every frame is exempt, at cells of two pixels."""
    meter = FlashMeter(64, 48, rate=Fraction(25), backdrops=[""], cell_px=2)
    board = np.indices((48, 64)).sum(axis=0) % 2
    for frame in range(30):
        light = ((board + frame) % 2).astype(np.float32)
        meter.add_light(np.repeat(light[..., None], 3, axis=2))
    assert meter.verdicts()[0].counts[0].most_per_s == 0
