"""Reading time over a cue's length, and the legibility of what is drawn."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from overlays.checks.words import judge_legibility, judge_reading
from overlays.checks.writing import Showing, lines_on
from overlays.draw.page import Page
from overlays.draw.patch import Pixels, Rect, lay_over
from overlays.draw.sheet import block
from overlays.style.colour import Colour
from overlays.style.house import load_style

RATE = Fraction(25)
INK, QUIET = (240, 240, 240, 255), (150, 150, 150, 255)
FLOOR = 22


def shown(text: str, first: int, end: int, *, quiet: bool = False, size: int = 40) -> Showing:
    return Showing(text, size, QUIET if quiet else INK, first, end)


def verdict(*texts: Showing) -> tuple[str, int | None]:
    found = judge_reading(texts, rate=RATE, floor_px=FLOOR, quiet=QUIET, first_frame=12)
    return found.verdict, found.frame


# At 160 words a minute a word takes 0.375 s, 9.375 frames of 25 a second.
@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        ([], ("pass", None)),
        ([shown("one two three four", 0, 38)], ("pass", None)),
        ([shown("one two three four", 0, 37)], ("caution", 12)),
        # Each could be read alone, but they stand at the same time.
        ([shown("one two", 0, 20), shown("three four", 0, 20)], ("caution", 12)),
        # What comes late leaves too little time, though the whole cue would be long enough.
        ([shown("one", 0, 100), shown("two three four", 80, 100)], ("caution", 92)),
        # Numbers of a scale and of a running counter are not read.
        ([shown("120", 0, 4, size=FLOOR), shown("119.4", 0, 4)], ("pass", None)),
        ([shown("119.4", 0, 4), shown("121", 4, 100)], ("pass", None)),
    ],
)
def test_all_must_be_readable_while_it_stands(
    texts: list[Showing], expected: tuple[str, int | None]
) -> None:
    """Every stretch of time has to hold what stands within it only."""
    assert verdict(*texts) == expected


def test_quiet_words_are_held_to_the_pace_of_silent_reading() -> None:
    """A word takes 6.3 frames at 238 words a minute: four pass in 26 and not in 24."""
    assert verdict(shown("one two three four", 0, 26, quiet=True)) == ("pass", None)
    assert verdict(shown("one two three four", 0, 24, quiet=True)) == ("caution", 12)


def drawn(ink: Colour, panel: Colour, size: float) -> tuple[Pixels, list[str]]:
    page = Page(1920, 1080, load_style("rule"))
    face = page.face("text", size)
    layers = [block(Rect(50, 50, 900, 300), panel), face.layer("Alder", 100, 200, ink)]
    pixels = np.zeros((1080, 1920, 4), np.uint8)
    lay_over(pixels, (0, 0), layers)
    found = judge_legibility(lines_on(layers), pixels, frame=7)
    return pixels, [f"{item.check} {item.verdict} {item.frame}" for item in found]


def test_legibility_is_judged_as_drawn() -> None:
    """Light on a dense dark panel passes; grey on grey fails, and so does a panel let through."""
    light, dark = Colour(240, 240, 240), Colour(20, 24, 28, 240)
    assert drawn(light, dark, 40)[1] == ["text-size pass None", "contrast pass None"]
    assert drawn(Colour(120, 120, 120), Colour(100, 100, 100, 240), 40)[1] == [
        "contrast fail 7",
        "text-size pass None",
    ]
    assert "contrast fail 7" in drawn(light, Colour(20, 24, 28, 60), 40)[1]


def test_small_text_fails_where_nothing_backs_it() -> None:
    """22 px is enough on a block (26 lines with its descenders) and not on the bare picture."""
    light = Colour(240, 240, 240)
    assert "text-size pass None" in drawn(light, Colour(20, 24, 28, 240), 22)[1]
    assert "text-size fail 7" in drawn(light, Colour(20, 24, 28, 120), 22)[1]
