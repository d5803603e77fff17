"""The golden frames: which there are, how they are drawn, how two pictures are compared.

A golden frame is a picture somebody has looked at and found right. Draw them anew after a wanted
change, look at every one, and commit them with it::

    python -m tests.golden.pictures [KIND ...]
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Pixels
from overlays.kinds.registry import kinds
from overlays.style.house import load_style, style_names
from tests.kinds.conftest import EXAMPLES, content_of, make_results, stage

__all__ = ["FRAMES", "Golden", "compare", "draw", "goldens", "read", "save"]

FOLDER = Path(__file__).parent / "frames"
FAILURES = Path(__file__).parents[1] / "failures"
SHAPES = ((640, 360), (360, 640), (400, 400))
FRAMES = 240
STATES = {"middle": 75, "last": FRAMES - 1}

# The same wheels draw the same bits; other builds of FreeType and Agg may round a coverage
# otherwise. Beyond these a picture has changed.
MEAN_CODES = 0.25
FAR_CODES, FAR_SHARE = 40, 0.0005


@dataclass(frozen=True)
class Golden:
    """One picture: a kind in a style and shape at a state."""

    kind: str
    style: str
    shape: tuple[int, int]
    state: str

    @property
    def name(self) -> str:
        """File name without ending."""
        return f"{self.kind}_{self.style}_{self.shape[0]}x{self.shape[1]}_{self.state}"


def goldens() -> Iterator[Golden]:
    """Every picture there must be."""
    for kind in sorted(set(kinds()) & set(EXAMPLES)):
        for style in style_names():
            for shape in SHAPES:
                for state in STATES:
                    yield Golden(kind, style, shape, state)


def draw(golden: Golden) -> Pixels:
    """Draw a picture as it is now."""
    content = content_of(make_results(), golden.kind, **EXAMPLES[golden.kind])
    where = stage(*golden.shape, frames=FRAMES)
    scene = kinds()[golden.kind].lay_out(content, where, load_style(golden.style))
    return draw_alone(scene, STATES[golden.state])


def read(golden: Golden) -> Pixels | None:
    """Return the golden picture, None where there is none yet."""
    path = FOLDER / f"{golden.name}.png"
    return np.asarray(Image.open(path).convert("RGBA")) if path.is_file() else None


def save(pixels: Pixels, folder: Path, name: str) -> Path:
    """Write a picture, straight alpha as it is."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.png"
    Image.fromarray(pixels).save(path, optimize=True)
    return path


def compare(got: Pixels, wanted: Pixels, *, mean_codes: float = MEAN_CODES) -> str:
    """Say how two pictures differ beyond the tolerance; empty where they agree.

    Colour counts as far as it can be seen: pixels are compared over black and over white.
    """
    if got.shape != wanted.shape:
        return f"{got.shape[1]}x{got.shape[0]} instead of {wanted.shape[1]}x{wanted.shape[0]}"
    off = np.maximum(*(np.abs(_over(got, b) - _over(wanted, b)).max(axis=-1) for b in (0, 255)))
    mean, far = float(off.mean()), float((off > FAR_CODES).mean())
    if mean <= mean_codes and far <= FAR_SHARE:
        return ""
    return f"{mean:.3f} codes off on average, {100 * far:.3f} % of pixels by over {FAR_CODES}"


def _over(pixels: Pixels, ground: int) -> np.ndarray:
    share = pixels[..., 3:].astype(np.float64) / 255
    return pixels[..., :3] * share + ground * (1 - share)


def main(names: list[str]) -> None:
    """Draw the golden frames of the named kinds, or all, anew."""
    for golden in goldens():
        if not names or golden.kind in names:
            save(draw(golden), FOLDER, golden.name)


if __name__ == "__main__":
    main(sys.argv[1:])
