"""The bench with pictures: cut-outs of one colour each, so that they can be found in a frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image

from overlays.draw.patch import Pixels, Rect
from overlays.model.result import Results
from overlays.model.session import SessionSpec
from tests.kinds.conftest import SPEC

__all__ = ["COLOURS", "found", "save_cut_out", "with_pictures"]

# None of them is a colour of a style or of another entry.
COLOURS = {"alder": (1, 250, 2), "basalt": (250, 3, 250), "logo": (255, 128, 1)}


def save_cut_out(
    file: Path, colour: tuple[int, int, int], size: tuple[int, int] = (400, 300)
) -> None:
    """Write a disc of a colour on clear ground, as wide as the picture is high."""
    wide, high = size
    y, x = np.mgrid[:high, :wide]
    pixels = np.zeros((high, wide, 4), np.uint8)
    pixels[(2 * x - wide) ** 2 + (2 * y - high) ** 2 < high**2] = (*colour, 255)
    file.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(pixels).save(file)


def with_pictures(results: Results, folder: Path, **declared: str) -> Results:
    """Return results whose session declares pictures by entry or ``logo``, in a folder."""
    entries: Mapping[str, Mapping[str, object]] = SPEC["entries"]
    given = {key: picture for key, picture in declared.items() if key != "logo"}
    spec = {
        **SPEC,
        "episode": {**SPEC["episode"], "date": results.session.spec.episode.date}
        | ({"logo": declared["logo"]} if "logo" in declared else {}),
        "entries": {
            key: {**entry, **({"picture": given[key]} if key in given else {})}
            for key, entry in entries.items()
        },
    }
    lines = {f"entries.{key}.picture": 20 + i for i, key in enumerate(entries)}
    session = replace(
        results.session,
        folder=folder,
        spec=SessionSpec.model_validate(spec),
        lines=lines | {"episode.logo": 7},
    )
    return replace(results, session=session)


def found(pixels: Pixels, name: str) -> Rect:
    """Return where a frame shows a cut-out: the rectangle around its colour, empty if nowhere."""
    here = (np.abs(pixels[..., :3].astype(int) - COLOURS[name]).max(axis=-1) <= 2) & (
        pixels[..., 3] == 255
    )
    rows, columns = np.nonzero(here)
    if not len(rows):
        return Rect(0, 0, 0, 0)
    return Rect(int(columns.min()), int(rows.min()), int(columns.max()) + 1, int(rows.max()) + 1)
