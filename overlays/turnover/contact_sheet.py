"""A contact sheet: many pictures small, on one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from overlays.draw.page import Page
from overlays.draw.patch import Patch
from overlays.files import written_whole
from overlays.style.house import load_style

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["draw_sheet"]

_HEIGHT, _GAP, _LABEL = 270, 10, 34


def draw_sheet(folder: Path, names: Sequence[str], states: Sequence[str], target: Path) -> None:
    """Set pictures in rows under their names, as PNG.

    Parameters
    ----------
    folder : Path
        Where ``NAME_STATE.png`` lie.
    names : sequence of str
        ``KIND_STYLE_WxH``; those that differ in their shape alone share a row.
    states : sequence of str
        From left to right.
    target : Path
        The file.

    Raises
    ------
    WorkError
        If it cannot be written.
    """
    from PIL import Image

    rows: dict[str, list[str]] = {}
    for name in names:
        rows.setdefault(name.rpartition("_")[0], []).append(name)
    strips = [(title, _small(folder, row, states)) for title, row in rows.items()]
    width = max((sum(small.width + _GAP for small in strip) for _, strip in strips), default=0)
    down = _LABEL + _HEIGHT + _GAP
    sheet = Image.new("RGB", (width + _GAP, down * len(strips) + _GAP), (40, 42, 44))
    for index, (title, strip) in enumerate(strips):
        label = _label(title)
        picture = Image.fromarray(label.pixels)
        sheet.paste(picture, (_GAP, index * down + _GAP + (_LABEL - picture.height) // 2), picture)
        x = _GAP
        for small in strip:
            sheet.paste(small, (x, index * down + _GAP + _LABEL))
            x += small.width + _GAP
    with written_whole(target) as part:
        sheet.save(part, "PNG")


def _small(folder: Path, names: Sequence[str], states: Sequence[str]) -> list[Image.Image]:
    from PIL import Image

    found = []
    for name in names:
        for state in states:
            with Image.open(folder / f"{name}_{state}.png") as picture:
                across = round(picture.width * _HEIGHT / picture.height)
                found.append(
                    picture.convert("RGB").resize((across, _HEIGHT), Image.Resampling.LANCZOS)
                )
    return found


def _label(title: str) -> Patch:
    page = Page(1080, 1080, load_style("rule"))
    return page.face("strong", 24).layer(title.replace("_", " "), 0, 0, page.colours.ink).patch
