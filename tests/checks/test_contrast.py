"""Contrast of text over any picture."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.colour import contrast_ratio
from overlays.checks.contrast import judge_contrast, least_contrast

WHITE, BLACK = (255, 255, 255, 255), (0, 0, 0, 255)
CODE = st.integers(0, 255)


def test_an_opaque_panel_gives_wcags_ratio() -> None:
    """Over an opaque panel the picture behind does not matter: #777777 on white is 4.478."""
    found = least_contrast((0x77, 0x77, 0x77, 255), WHITE)
    # WCAG 2.x by wcag-contrast-ratio 0.9, see data/checks/colour.json
    assert found.ratio == pytest.approx(4.478089453577214, abs=1e-9)


def test_a_ratio_just_short_of_the_limit_fails_and_is_not_rounded_up() -> None:
    """4.478 fails, and is written 4.47; the next darker grey passes."""
    failed = judge_contrast("the title", text=(0x77, 0x77, 0x77, 255), panel=WHITE)
    assert failed.verdict == "fail"
    assert "4.47:1 against its panel" in failed.message
    assert judge_contrast("it", text=(0x76, 0x76, 0x76, 255), panel=WHITE).verdict == "pass"


def test_large_text_has_the_lower_limit() -> None:
    """3:1 is enough for large text, and #959595 on white still is not."""
    # WCAG 2.x by wcag-contrast-ratio 0.9: #949494 3.033, #959595 2.995
    assert judge_contrast("it", text=(0x94, 0x94, 0x94, 255), panel=WHITE, large=True).verdict == (
        "pass"
    )
    assert judge_contrast("it", text=(0x95, 0x95, 0x95, 255), panel=WHITE, large=True).verdict == (
        "fail"
    )


def test_text_on_no_panel_vanishes_over_some_picture() -> None:
    """Text alone has no contrast over a picture of its own colour."""
    assert least_contrast(WHITE, (0, 0, 0, 0)).ratio == pytest.approx(1)
    finding = judge_contrast("a number", text=WHITE)
    assert finding.verdict == "fail"
    assert "against the picture over white" in finding.message


def test_a_half_dense_panel_fails_grey_text_over_grey_footage_only() -> None:
    """Grey text clears black and white footage behind a thin panel, and vanishes between."""
    text, panel = (150, 150, 150, 255), (0, 0, 0, 10)
    found = least_contrast(text, panel)
    assert found.backdrop in ("grey", "busy")
    assert found.ratio < 1.1


def test_a_stroke_saves_text_without_a_panel() -> None:
    """White text outlined in opaque black is legible over anything; a faint outline is not."""
    saved = judge_contrast("a value", text=WHITE, stroke=BLACK)
    assert saved.verdict == "pass"
    assert "its stroke" in saved.message
    assert judge_contrast("a value", text=WHITE, stroke=(0, 0, 0, 40)).verdict == "fail"


def test_a_transparent_stroke_changes_nothing() -> None:
    """A stroke of alpha 0 on no panel is no help."""
    assert judge_contrast("it", text=WHITE, stroke=(0, 0, 0, 0)).verdict == "fail"


@given(CODE, CODE, CODE, CODE)
def test_no_grey_footage_is_worse_than_what_is_reported(
    text: int, panel: int, alpha: int, footage: int
) -> None:
    """The least contrast is a lower bound over every grey backdrop."""
    found = least_contrast((text, text, text, 255), (panel, panel, panel, alpha))
    ground = (panel * alpha + footage * (255 - alpha)) / 255 / 255
    seen = contrast_ratio([text / 255] * 3, [ground] * 3)
    assert found.ratio <= float(seen) + 1e-9
