"""Every shipped style: entries told apart by every eye, text that can be read on its ground."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from overlays.checks.colour import (
    DEFICIENCIES,
    ciede2000,
    contrast_ratio,
    lab_from_srgb,
    simulate,
)
from overlays.style.colour import Colour
from overlays.style.house import Style, load_style, style_names

STYLES = style_names()
GROUNDS = (Colour(0, 0, 0), Colour(255, 255, 255), Colour(128, 128, 128))


def share(colour: Colour) -> np.ndarray:
    return np.array(colour.rgb, np.float64) / 255


def least_difference(colours: list[np.ndarray]) -> float:
    labs = [lab_from_srgb(colour) for colour in colours]
    return min(float(ciede2000(a, b)) for a, b in combinations(labs, 2))


def contrast(text: Colour, ground: Colour) -> float:
    return float(contrast_ratio(share(text), share(ground)))


@pytest.mark.parametrize("name", STYLES)
def test_eight_entries_are_told_apart(name: str) -> None:
    """Every pair is 20 or more apart in CIEDE2000, 12 or more to a colour-deficient viewer.

    The limits are the project's own (issue: a look of our own); the simulation is Machado's (2009)
    at severity 1, the colour difference that of ISO/CIE 11664-6, both tested in checks.
    """
    entries = [share(colour) for colour in load_style(name).colours.entries]
    assert len(entries) == 8
    assert least_difference(entries) >= 20
    for deficiency in DEFICIENCIES:
        seen = [np.round(simulate(colour, deficiency) * 255) / 255 for colour in entries]
        assert least_difference(seen) >= 12


def text_pairs(style: Style) -> list[tuple[str, Colour, Colour]]:
    """Return every colour of text with the worst grounds it may stand on."""
    colours = style.colours
    pairs = []
    for behind in GROUNDS:
        panel = colours.panel.over(behind)
        pairs += [("ink", colours.ink, panel), ("quiet", colours.quiet, panel)]
        pairs += [(f"entry {i}", entry, panel) for i, entry in enumerate(colours.entries)]
    pairs += [(f"on entry {i}", colours.on_entry, entry) for i, entry in enumerate(colours.entries)]
    return [*pairs, ("engraved", colours.engraved, colours.steel)]


@pytest.mark.parametrize("name", STYLES)
def test_text_can_be_read(name: str) -> None:
    """All text has a contrast of 4.5 or more on its ground, whatever lies behind the panel.

    WCAG 2.x, success criterion 1.4.3.
    """
    weak = {
        what: round(contrast(text, ground), 2)
        for what, text, ground in text_pairs(load_style(name))
        if contrast(text, ground) < 4.5
    }
    assert weak == {}


@pytest.mark.parametrize("name", STYLES)
def test_marks_can_be_seen(name: str) -> None:
    """Strikes, ticks and rules have a contrast of 3 or more (WCAG 2.x, 1.4.11)."""
    colours = load_style(name).colours
    for behind in GROUNDS:
        panel = colours.panel.over(behind)
        assert contrast(colours.strike, panel) >= 3
        assert contrast(colours.line, panel) >= 3
    assert contrast(colours.scored, colours.steel) >= 3


@pytest.mark.parametrize("name", STYLES)
def test_the_smallest_type_is_large_enough(name: str) -> None:
    """No token of type lies under the floor, and the floor is 22 of 1080 lines or more.

    Capitals of 22-pixel type are 15 lines high. Common practice, no source; broadcast legal text
    asks for 26 on an opaque block (BCAP guidance quoted in data/checks/safe_text.json), which all
    but the digits engraved on rules keep.
    """
    sizes = load_style(name).type
    assert sizes.floor >= 22
    assert min(sizes.small, sizes.body, sizes.value, sizes.title, sizes.figure) >= 26
