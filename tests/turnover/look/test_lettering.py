"""Letters: measured, broken into lines, never a hollow box."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import font_hanken_grotesk
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from overlays.turnover.look.lettering import Lettering, legible

WORDS = st.lists(st.text("abcdeiWM0.,·ü", min_size=1, max_size=20), max_size=12).map(" ".join)
BODY = Lettering(12)


@pytest.mark.parametrize("text", ["Cobble", "per price, N·m/€", "−12,5 °C", "AVAVA"])
def test_widths_are_those_of_pillow(text: str) -> None:
    """Pillow's FreeType, asked at a size where its rounding does not matter, agrees within 1 %."""
    file = Path(font_hanken_grotesk.font_directory) / "HankenGrotesk-Medium.otf"
    expected = ImageFont.truetype(file, 1000).getlength(text) / 1000
    assert Lettering(20).width(text) == pytest.approx(20 * expected, rel=0.01)


@given(WORDS, st.integers(20, 300))
def test_lines_are_no_wider_than_asked_and_lose_nothing(text: str, width: int) -> None:
    """All letters are there in order; a line is broken only where the next word does not fit."""
    lines = BODY.wrapped(text, width)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(BODY.width(line) <= width for line in lines)
    if all(BODY.width(word) <= width for word in text.split()):
        for line, following in pairwise(lines):
            assert BODY.width(f"{line} {following.split()[0]}") > width


@given(WORDS, st.integers(12, 200))
def test_fitted_text_fits_and_says_that_it_was_cut(text: str, width: int) -> None:
    """What fits stays; what does not is a beginning of it and an ellipsis."""
    shown = BODY.fitted(text, width)
    assert BODY.width(shown) <= width
    assert shown == text or (shown.endswith("…") and text.startswith(shown[:-1]))


def test_a_letter_that_no_font_has_is_shown_as_such() -> None:
    """Chinese and emoji become U+FFFD; what another packaged font has stays, and controls go."""
    assert legible("温 Öl ☂\x1b[2J x") == "� Öl ☂ x"


def test_a_font_stands_in_for_single_letters_only() -> None:
    """Hanken Grotesk has no umbrella: that letter alone comes from DejaVu, in its place."""
    spans = Lettering(10, 700).spans("ab☂c")
    assert [span.text for span in spans] == ["ab", "☂", "c"]
    assert [Path(span.file).name for span in spans] == [
        "HankenGrotesk-Bold.otf",
        "DejaVuSans-Bold.ttf",
        "HankenGrotesk-Bold.otf",
    ]
    starts = [span.start for span in spans]
    assert starts[0] == 0.0
    assert 10 * starts[1] == pytest.approx(Lettering(10, 700).width("ab"))
    assert 10 * starts[2] == pytest.approx(Lettering(10, 700).width("ab☂"))


def test_size_scales_everything() -> None:
    """Twice the size is twice the width; lines stand further apart than letters are tall."""
    assert Lettering(24).width("Dune") == pytest.approx(2 * BODY.width("Dune"))
    assert BODY.line > BODY.size
    assert BODY.width("") == 0
