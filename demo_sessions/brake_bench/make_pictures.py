"""Draw the pictures of the brake bench: four invented pads, and the mark of its programme.

``python make_pictures.py`` draws the files of ``pictures/`` again; another folder may be named
behind it. No pad of this shape is known to us, and the mark is nobody's.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from pathlib import Path

from PIL import Image, ImageDraw

WIDTH, HEIGHT = 360, 240
# Drawn larger and scaled down, for smooth edges.
FINER = 4

Point = tuple[float, float]
STEEL, EDGE, CLEAR = "#A9B4B6", "#6C797C", (0, 0, 0, 0)


class Drawing:
    """A clear picture to draw on, in its own pixels."""

    def __init__(self, width: int, height: int) -> None:
        self._image = Image.new("RGBA", (width * FINER, height * FINER), CLEAR)
        self._draw = ImageDraw.Draw(self._image)

    def shape(self, points: list[Point], colour: str, *, edge: str = "") -> None:
        """Fill a polygon, with a line around it where `edge` is a colour."""
        large = [(x * FINER, y * FINER) for x, y in points]
        self._draw.polygon(large, fill=colour)
        if edge:
            self._draw.line([*large, large[0], large[1]], fill=edge, width=3 * FINER, joint="curve")

    def disc(self, x: float, y: float, radius: float, colour: str | tuple[int, ...]) -> None:
        """Fill a disc; a clear one is a hole."""
        box = [(v + s * radius) * FINER for s in (-1, 1) for v in (x, y)]
        self._draw.ellipse(box, fill=colour)

    def bar(self, start: Point, end: Point, width: float, colour: str | tuple[int, ...]) -> None:
        """Draw a straight bar; a clear one is a slot."""
        line = [(x * FINER, y * FINER) for x, y in (start, end)]
        self._draw.line(line, fill=colour, width=round(width * FINER))

    def finished(self) -> Image.Image:
        """Return it cut to its ink, at its own size, with as few colours as look the same."""
        left, top, right, bottom = self._image.getbbox() or (0, 0, *self._image.size)
        cut = self._image.crop((left - FINER, top - FINER, right + FINER, bottom + FINER))
        small = cut.resize((cut.width // FINER, cut.height // FINER), Image.Resampling.LANCZOS)
        return small.quantize(64, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)


def rounded(corners: list[Point], radius: float) -> list[Point]:
    """Return a polygon with its corners rounded, each by a curve that touches both its sides."""
    points: list[Point] = []
    for before, corner, after in zip(corners[-1:] + corners[:-1], corners,
                                     corners[1:] + corners[:1], strict=True):  # fmt: skip
        ends = []
        for other in (before, after):
            away = math.dist(corner, other)
            share = min(0.5, radius / away)
            ends.append(tuple(c + share * (o - c) for c, o in zip(corner, other, strict=True)))
        (x0, y0), (x1, y1) = ends
        for step in range(9):
            t = step / 8
            points.append(
                tuple(
                    (1 - t) ** 2 * a + 2 * t * (1 - t) * c + t * t * b
                    for a, c, b in ((x0, corner[0], x1), (y0, corner[1], y1))
                )  # type: ignore[arg-type]
            )
    return points


def plate(drawing: Drawing, corners: list[Point], tab: Point) -> None:
    """Draw a backing plate with a tab, and the hole for its pin."""
    x, y = tab
    stem = [(x - 30, y + 70), (x - 20, y), (x + 20, y), (x + 30, y + 70)]
    drawing.shape(rounded(stem, 12), STEEL, edge=EDGE)
    drawing.shape(rounded(corners, 22), STEEL, edge=EDGE)
    drawing.shape(rounded([(x - 26, y + 76), (x - 19, y + 10), (x + 19, y + 10), (x + 26, y + 76)],
                          8), STEEL)  # fmt: skip
    drawing.disc(x, y + 20, 9, CLEAR)


def alder() -> Drawing:
    """Draw a resin pad: one broad brown block, cut once."""
    drawing = Drawing(WIDTH, HEIGHT)
    plate(drawing, [(40, 84), (320, 84), (296, 226), (64, 226)], (180, 12))
    drawing.shape(rounded([(70, 104), (290, 104), (272, 208), (88, 208)], 20), "#9C6A43")
    drawing.bar((180, 96), (180, 216), 8, "#6E4628")
    return drawing


def basalt() -> Drawing:
    """Draw a sintered pad: a dark block with slots across, its grains showing."""
    drawing = Drawing(WIDTH, HEIGHT)
    plate(drawing, [(30, 96), (112, 72), (248, 72), (330, 96), (300, 226), (60, 226)], (180, 8))
    block = [(66, 112), (124, 94), (236, 94), (294, 112), (272, 206), (88, 206)]
    drawing.shape(rounded(block, 16), "#59595E")
    for index, (x, y) in enumerate(grains(70, 290, 100, 202)):
        if abs(x - 180) < 104 - abs(y - 150) * 0.2:
            drawing.disc(x, y, 1.6 + index % 3 * 0.7, "#8B7F70")
    for x in (138, 222):
        drawing.bar((x - 14, 216), (x + 14, 84), 8, STEEL)
    return drawing


def cobble() -> Drawing:
    """Draw a half metal pad: two rust-brown blocks, metal flakes in them."""
    drawing = Drawing(WIDTH, HEIGHT)
    plate(drawing, [(48, 78), (312, 78), (332, 152), (284, 226), (76, 226), (28, 152)], (116, 10))
    for left, cut in ((62, 16), (190, -16)):
        low, high = left + max(0, cut), left + 108 + min(0, cut)
        block = [(left, 100), (left + 108, 100), (high, 206), (low, 206)]
        drawing.shape(rounded(block, 14), "#7A4B3E")
        for index, (x, y) in enumerate(grains(left + 22, left + 88, 106, 200)):
            if index % 2:
                drawing.bar((x - 4, y - 2), (x + 4, y + 2), 2.5, "#C79A78")
    return drawing


def dune() -> Drawing:
    """Draw a ceramic pad: a pale block, felted in waves."""
    drawing = Drawing(WIDTH, HEIGHT)
    plate(drawing, [(70, 80), (290, 80), (326, 190), (262, 228), (98, 228), (34, 190)], (180, 10))
    drawing.shape(rounded([(92, 100), (268, 100), (296, 186), (252, 208), (108, 208), (64, 186)],
                          18), "#D9C08C")  # fmt: skip
    for row in range(5):
        y, half = 116 + 18 * row, 72 + 7 * row
        wave = [(180 - half + t, y + 4 * math.sin((t + 30 * row) / 14)) for t in range(2 * half)]
        for start, end in zip(wave[:-4:4], wave[4::4], strict=False):
            drawing.bar(start, end, 2.5, "#B5965C")
    return drawing


def grains(left: float, right: float, top: float, bottom: float) -> Iterator[Point]:
    """Return points strewn evenly and without a pattern, the same ones every time (Roberts)."""
    # Steps of the plastic number's powers: the two-dimensional kin of the golden ratio.
    for index in range(1, 46):
        x, y = (index * 0.7548776662) % 1, (index * 0.5698402910) % 1
        yield left + x * (right - left), top + y * (bottom - top)


def logo() -> Drawing:
    """Draw the programme's mark: a flywheel ruled along its rim, a pad at either side of it."""
    drawing = Drawing(HEIGHT, HEIGHT)
    middle = HEIGHT / 2
    drawing.disc(middle, middle, 112, "#8FA3A6")
    drawing.disc(middle, middle, 76, CLEAR)
    for tick in range(40):
        turn = 2 * math.pi * tick / 40
        inner = 86 if tick % 5 == 0 else 97
        start, end = (
            (middle + r * math.sin(turn), middle - r * math.cos(turn)) for r in (inner, 107)
        )
        drawing.bar(start, end, 4, "#22302F")
    for spoke in range(5):
        turn = 2 * math.pi * spoke / 5
        start, end = ((middle + r * math.sin(turn), middle - r * math.cos(turn)) for r in (14, 80))
        drawing.bar(start, end, 13, "#8FA3A6")
    drawing.disc(middle, middle, 27, "#8FA3A6")
    drawing.disc(middle, middle, 11, CLEAR)
    for side in (-1, 1):
        x = middle + side * 88
        pad = [(x - 30, 76), (x + 30, 76), (x + 30, 164), (x - 30, 164)]
        drawing.shape(rounded(pad, 14), "#D98032")
    return drawing


PICTURES = {"alder": alder, "basalt": basalt, "cobble": cobble, "dune": dune, "logo": logo}


def main(folder: Path) -> None:
    """Draw every picture into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, draw in PICTURES.items():
        draw().finished().save(folder / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "pictures")
