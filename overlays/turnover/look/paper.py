"""A sheet of paper to draw on by matplotlib: the same marks as PNG and as SVG.

Places are in pixels from the upper left corner, y downwards.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from overlays.model.trace import FloatArray
from overlays.turnover.look.lettering import Lettering

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.transforms import TransformedBbox

__all__ = ["BAD", "CARE", "INK", "PAPER", "QUIET", "RULE", "Box", "Paper"]

# The colours of review.css.
PAPER, INK, QUIET, RULE = "#faf9f6", "#1b2024", "#5a636a", "#b9bfc3"
BAD, CARE = "#a3260d", "#7a5200"

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


class Paper:
    """A sheet.

    Parameters
    ----------
    width, height : int
        In pixels.
    """

    def __init__(self, width: int, height: int) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
        from matplotlib.transforms import Affine2D

        self.width, self.height = width, height
        with _plain_settings():
            # At 72 dots an inch a point, matplotlib's unit of lines and letters, is a pixel.
            self._figure = Figure((width / 72, height / 72), dpi=72, facecolor=PAPER)
            FigureCanvasAgg(self._figure)
        self._place = Affine2D().scale(1 / 72) + self._figure.dpi_scale_trans

    def rect(self, box: Box, colour: str, *, opacity: float = 1.0) -> None:
        """Fill a rectangle."""
        from matplotlib.patches import Rectangle

        left, top, right, bottom = box
        corner = (left, self.height - bottom)
        self._add(
            Rectangle(corner, right - left, bottom - top, facecolor=colour, alpha=opacity, lw=0)
        )

    def line(
        self,
        points: FloatArray | Sequence[tuple[float, float]],
        colour: str,
        width: float,
        *,
        dashes: tuple[float, ...] = (),
        within: Box | None = None,
    ) -> None:
        """Draw a line along points of shape (N, 2), cut to the box `within`."""
        import numpy as np
        from matplotlib.lines import Line2D

        xy = np.asarray(points, dtype=np.float64)
        drawn = Line2D(xy[:, 0], self.height - xy[:, 1], color=colour, lw=width)
        drawn.set_solid_capstyle("round" if len(xy) > 2 else "butt")
        if dashes:
            drawn.set_linestyle((0, dashes))
        if within is not None:
            drawn.set_clip_box(self._edges(within))
        self._add(drawn)

    def area(self, points: FloatArray, colour: str, *, opacity: float, within: Box) -> None:
        """Fill the shape around points of shape (N, 2), cut to the box `within`."""
        import numpy as np
        from matplotlib.patches import Polygon

        xy = np.column_stack([points[:, 0], self.height - points[:, 1]])
        drawn = Polygon(xy, closed=True, facecolor=colour, alpha=opacity, lw=0)
        drawn.set_clip_box(self._edges(within))
        self._add(drawn)

    def _edges(self, within: Box) -> TransformedBbox:
        from matplotlib.transforms import Bbox, TransformedBbox

        left, top, right, bottom = within
        edges = Bbox.from_extents(left, self.height - bottom, right, self.height - top)
        return TransformedBbox(edges, self._place)

    def text(
        self,
        x: float,
        baseline: float,
        text: str,
        letters: Lettering,
        colour: str = INK,
        *,
        align: Literal["left", "center", "right"] = "left",
    ) -> None:
        """Set a line of text with its left end, middle or right end at `x`."""
        from matplotlib.text import Text

        share = {"left": 0.0, "center": 0.5, "right": 1.0}[align]
        left = x - share * letters.width(text)
        for span in letters.spans(text):
            self._add(
                Text(
                    left + letters.size * span.start,
                    self.height - baseline,
                    span.text,
                    color=colour,
                    va="baseline",
                    fontproperties=letters.properties(span),
                    parse_math=False,  # a dollar sign is a dollar sign
                )
            )

    def _add(self, artist: Artist) -> None:
        artist.set_transform(self._place)
        self._figure.add_artist(artist, clip=False)

    def write_png(self, target: Path, *, scale: float) -> None:
        """Write it as a PNG, `scale` times as many pixels as it has here."""
        with _plain_settings():
            self._figure.savefig(target, format="png", dpi=72 * scale, metadata={"Software": None})

    def svg(self) -> bytes:
        """Return it as SVG 1.1 without its ground, letters as outlines; always the same bytes."""
        stream = io.BytesIO()
        nothing = {"Date": None, "Creator": None, "Format": None, "Type": None}
        with _plain_settings():
            self._figure.savefig(stream, format="svg", metadata=nothing, facecolor="none")
        return stream.getvalue()


@contextmanager
def _plain_settings() -> Iterator[None]:
    """Keep a user's own matplotlib settings, and chance, out of the picture."""
    import matplotlib as mpl
    from matplotlib import style

    with style.context("default"), mpl.rc_context({"svg.hashsalt": "tracereel"}):
        yield
