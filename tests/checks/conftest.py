"""Small clips of every codec, written once for all tests that read clips back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from overlays.draw.patch import Pixels, Rect
from overlays.model.clip import CODECS
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.registry import codec_named

SPEC = FileSpec(width=77, height=45, rate=Fraction(30000, 1001), timecode="01:00:00;00")
FRAMES = 8


@dataclass(frozen=True)
class Written:
    """The clips by codec, and the frames that were written into each."""

    files: Mapping[str, Path]
    frames: tuple[Pixels, ...]
    spec: FileSpec = SPEC


def drawn() -> Iterator[Pixels]:
    """Two empty frames, three that grow, then a hold: partial alpha, an edge and a solid part."""
    for index in range(FRAMES):
        pixels = np.zeros((SPEC.height, SPEC.width, 4), np.uint8)
        grown = min(index, 5)
        if index >= 2:
            pixels[10:40, 8:48] = (200, 40, 40, 128)
            pixels[20:34, 30:70] = (40, 200, 40, 255)
            pixels[2:7, 2 : 4 + 8 * grown] = (255, 255, 255, 40 * grown)
        yield pixels


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Written:
    """Every codec's file of the same frames."""
    folder = tmp_path_factory.mktemp("clips")
    frames = tuple(drawn())
    files = {name: folder / f"clip_{name}{ending}" for name, ending in CODECS.items()}
    for name, file in files.items():
        writer = codec_named(name).open(file, SPEC)
        for pixels in frames:
            writer.add(pixels, [Rect(0, 0, SPEC.width, SPEC.height)])
        writer.finish()
    return Written(files, frames)
