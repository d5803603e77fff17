"""Whether entry colours can be told apart, with every kind of colour vision.

The limits are the project's own: every pair at least 20 apart in CIEDE2000 as drawn, and at least
12 as seen with protanopia, deuteranopia and tritanopia. Lines also differ by more than colour;
these limits do not replace that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from overlays.checks.colour import (
    DEFICIENCIES,
    ciede2000,
    lab_from_srgb,
    simulate,
)
from overlays.checks.findings import Finding
from overlays.style.colour import Colour

__all__ = ["LEAST_NORMAL", "LEAST_SIMULATED", "PairDistance", "judge_colours", "pair_distances"]

LEAST_NORMAL = 20.0
LEAST_SIMULATED = 12.0
NORMAL = "normal vision"

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class PairDistance:
    """How far two colours lie apart for one kind of vision.

    Parameters
    ----------
    first, second : str
        The entries, or whatever the colours are called.
    vision : str
        ``"normal vision"`` or a key of `overlays.checks.colour.DEFICIENCIES`.
    distance : float
        CIEDE2000.
    least : float
        The limit that applies.
    """

    first: str
    second: str
    vision: str
    distance: float
    least: float

    @property
    def enough(self) -> bool:
        """Whether the two can be told apart."""
        return self.distance >= self.least


def pair_distances(colours: Mapping[str, Rgb]) -> tuple[PairDistance, ...]:
    """Measure every pair of colours under normal and simulated vision.

    Parameters
    ----------
    colours : Mapping[str, (int, int, int)]
        8-bit sRGB codes by name, as drawn.

    Returns
    -------
    tuple of PairDistance
        Four for each pair, in the order of `colours`.
    """
    if len(colours) < 2:
        return ()
    names = list(colours)
    encoded = np.array([colours[name] for name in names]) / 255
    seen = {NORMAL: encoded} | {kind: simulate(encoded, kind) for kind in DEFICIENCIES}
    labs = {vision: lab_from_srgb(rgb) for vision, rgb in seen.items()}
    return tuple(
        PairDistance(
            names[i],
            names[j],
            vision,
            float(ciede2000(lab[i], lab[j])),
            LEAST_NORMAL if vision == NORMAL else LEAST_SIMULATED,
        )
        for i, j in combinations(range(len(names)), 2)
        for vision, lab in labs.items()
    )


def judge_colours(colours: Mapping[str, Rgb]) -> tuple[Finding, ...]:
    """Judge the colours of what appears together.

    Parameters
    ----------
    colours : Mapping[str, (int, int, int)]
        8-bit sRGB codes by name, as drawn.

    Returns
    -------
    tuple of Finding
        One failure for each pair too close under some kind of vision (its worst), else one pass.
    """
    short = [pair for pair in pair_distances(colours) if not pair.enough]
    worst: dict[tuple[str, str], PairDistance] = {}
    for pair in short:
        key = (pair.first, pair.second)
        known = worst.get(key)
        if known is None or pair.distance / pair.least < known.distance / known.least:
            worst[key] = pair
    if not worst:
        message = f"all pairs of {len(colours)} colours differ for every kind of colour vision."
        return (Finding("colour-vision", "pass", message),)
    return tuple(
        Finding(
            "colour-vision",
            "fail",
            f"{pair.first} ({Colour(*colours[pair.first]).text}) and {pair.second} "
            f"({Colour(*colours[pair.second]).text}) are {pair.distance:.1f} apart in CIEDE2000 "
            f"under {pair.vision}; expected {pair.least:g} or more.",
            "Change one of the two colours in the style's palette.",
        )
        for pair in worst.values()
    )
