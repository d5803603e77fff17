"""The sheet of paper: marks come out where they were asked for, as PNG and as SVG."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib as mpl
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlays.turnover.look.lettering import Lettering
from overlays.turnover.look.paper import BAD, INK, PAPER, Paper

RED, BLUE = "#ff0000", "#0000ff"


def _pixels(paper: Paper, folder: Path, scale: float = 1.0) -> NDArray[np.uint8]:
    target = folder / "paper.png"
    paper.write_png(target, scale=scale)
    with Image.open(target) as image:
        return np.asarray(image.convert("RGB"))


def _is(pixels: NDArray[np.uint8], colour: str) -> NDArray[np.bool_]:
    rgb = tuple(bytes.fromhex(colour[1:]))
    return np.asarray((np.abs(pixels.astype(int) - rgb) <= 2).all(axis=-1))


def test_a_rectangle_covers_its_pixels_and_no_others(tmp_path: Path) -> None:
    """y runs downwards from the upper left corner; the rest is paper."""
    paper = Paper(40, 30)
    paper.rect((5, 10, 15, 12), RED)
    pixels = _pixels(paper, tmp_path)
    assert pixels.shape == (30, 40, 3)
    assert np.argwhere(_is(pixels, RED)).tolist() == [
        [y, x] for y in (10, 11) for x in range(5, 15)
    ]
    assert _is(pixels, PAPER).sum() == 40 * 30 - 20


def test_scale_gives_more_pixels_of_the_same(tmp_path: Path) -> None:
    """Twice as many either way, the rectangle in the same place."""
    paper = Paper(40, 30)
    paper.rect((5, 10, 15, 12), RED)
    pixels = _pixels(paper, tmp_path, 2.0)
    assert pixels.shape == (60, 80, 3)
    assert _is(pixels[20:24, 10:30], RED).all()


def test_opacity_lets_what_is_below_show(tmp_path: Path) -> None:
    """Half of blue over red is half of both."""
    paper = Paper(10, 10)
    paper.rect((0, 0, 10, 10), RED)
    paper.rect((0, 0, 10, 10), BLUE, opacity=0.5)
    assert _is(_pixels(paper, tmp_path), "#800080").all()


def test_a_line_is_cut_to_its_box(tmp_path: Path) -> None:
    """A line across the whole sheet shows only within the box it is given."""
    paper = Paper(40, 30)
    paper.line([(0, 15), (40, 15)], RED, 4, within=(10, 14, 20, 30))
    found = np.argwhere(_is(_pixels(paper, tmp_path), RED))
    assert found.min(axis=0).tolist() == [14, 10]
    assert found.max(axis=0).tolist() == [16, 19]


def test_a_dashed_line_has_gaps_and_a_plain_one_none(tmp_path: Path) -> None:
    """The row of a dashed line is coloured and bare by turns."""
    paper = Paper(100, 20)
    paper.line([(0, 5), (100, 5)], RED, 2)
    paper.line([(0, 15), (100, 15)], RED, 2, dashes=(4.0, 2.5))
    pixels = _pixels(paper, tmp_path)
    assert _is(pixels[5], RED).sum() >= 98
    dashed = _is(pixels[14], PAPER)
    assert 5 <= np.count_nonzero(np.diff(dashed.astype(int)) == 1) <= 15


def test_text_is_aligned_and_taken_literally(tmp_path: Path) -> None:
    """Left, middle and right ends lie where asked; dollar signs make no formula."""
    ends = {}
    for align in ("left", "center", "right"):
        paper = Paper(200, 40)
        paper.text(100, 25, "$5 and $6", Lettering(16), INK, align=align)
        columns = np.flatnonzero((~_is(_pixels(paper, tmp_path), PAPER)).any(axis=0))
        ends[align] = (columns[0], columns[-1] + 1)
    width = Lettering(16).width("$5 and $6")
    assert abs(ends["left"][0] - 100) <= 2
    assert abs(ends["right"][1] - 100) <= 2
    assert abs(sum(ends["center"]) / 2 - 100) <= 2
    assert all(abs(right - left - width) <= 4 for left, right in ends.values())


def test_the_same_sheet_gives_the_same_svg_which_loads_nothing() -> None:
    """No date, no chance, and every reference is to a place within; letters are outlines."""

    def svg() -> str:
        paper = Paper(60, 40)
        paper.text(5, 20, "Öl ☂", Lettering(12), BAD)
        paper.line([(0, 0), (30, 30)], RED, 1, within=(0, 0, 20, 20))
        return paper.svg().decode()

    text = svg()
    assert text == svg()
    references = re.findall(r'(?:href|src)="([^"]*)"|url\(([^)]*)\)', text)
    assert references
    assert all((one or two).startswith("#") for one, two in references)
    assert "<text" not in text
    assert "<script" not in text
    assert "<dc:date" not in text


def test_a_users_own_settings_change_nothing() -> None:
    """Whatever matplotlib is told to look like, the sheet looks the same."""

    def svg() -> bytes:
        paper = Paper(60, 40)
        paper.line([(0, 0), (30, 30), (60, 0)], RED, 1)
        paper.text(5, 20, "Dune", Lettering(12))
        return paper.svg()

    plain = svg()
    with mpl.rc_context(
        {"svg.fonttype": "none", "lines.dash_joinstyle": "bevel", "figure.dpi": 31}
    ):
        assert svg() == plain
