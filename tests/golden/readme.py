"""The pictures the README shows, under styles/NAME/: which there are, and how they are drawn.

Draw them anew after a wanted change, look at every one, and commit them with it::

    python -m tests.golden.readme
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from overlays.model.result import Results
from overlays.turnover.gallery import Specimen, sample, specimens

__all__ = ["KINDS", "path_of", "shown"]

STYLES = Path(__file__).resolve().parents[2] / "styles"
KINDS = ("curves", "footnote", "lower_third", "readout", "score_update", "standings")
SHAPE = (960, 540)


def shown(results: Results) -> Iterator[Specimen]:
    """Return what is shown, in each house style of the checkout."""
    names = sorted(path.parent.name for path in STYLES.glob("*/style.toml"))
    for specimen in specimens(results, styles=names, shapes=(SHAPE,)):
        if specimen.kind in KINDS:
            yield specimen


def path_of(specimen: Specimen) -> Path:
    """Return where its picture lies."""
    return STYLES / specimen.stage.style / f"{specimen.kind}.png"


def main() -> None:
    """Draw every picture anew, its last state, with as few colours as look the same."""
    from PIL import Image

    for specimen in shown(sample()):
        picture = Image.fromarray(specimen.pixels("last"))
        small = picture.quantize(256, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        small.save(path_of(specimen), "PNG", optimize=True)


if __name__ == "__main__":
    main()
