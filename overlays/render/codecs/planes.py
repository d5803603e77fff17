"""The frame as a 10-bit Y'CbCr-and-alpha encoder wants it, kept up to date block by block.

Three things happen to a block of 8x8 pixels between canvas and encoder, each depending on that
block alone, so that a block need not be touched again until its own pixels change:

1. R'G'B' becomes Y'CbCr (`overlays.render.colour`), alpha is widened to ten bits.
2. Where some of its pixels have alpha 0, they take the mean colour of the others: nobody sees them,
   but the encoder transforms a block as a whole, and an edge to black under the invisible half
   would ring into the visible one (largest error 15 levels at a coarse quantiser, 1 with the fill).
   A block with nothing visible becomes black.
3. Below and right of the canvas the last row and column are repeated up to whole macroblocks of
   16x16, as RDD 36 asks.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from overlays.draw.patch import Pixels, Rect
from overlays.render.colour import BLACK, Codes, alpha_to_10_bits, to_bt709

__all__ = ["BLOCK", "MACROBLOCK", "Planes"]

BLOCK = 8
MACROBLOCK = 16
_AT_ONCE = 1024  # blocks; bounds what a frame that changed everywhere takes in memory


class Planes:
    """Planes of one frame, padded to whole macroblocks, updated from changed rectangles.

    Starts as the empty canvas: black under alpha 0.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.

    Attributes
    ----------
    codes : ndarray of shape (4, H, W)
        Y', C'B, C'R and alpha in ten bits; H and W are multiples of 16.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        rows, columns = _whole(height, MACROBLOCK), _whole(width, MACROBLOCK)
        self.codes: Codes = np.zeros((4, rows, columns), np.uint16)
        self.codes[:3] = np.array(BLACK, np.uint16)[:, None, None]
        # What the planes were made from, one number a pixel: most of a changed rectangle usually
        # holds what it held before, and comparing is far cheaper than converting and encoding.
        self._shown = np.zeros((rows, columns), np.uint32)
        by_block = (rows // BLOCK, BLOCK, columns // BLOCK, BLOCK)
        self._shown_blocks = self._shown.view(np.uint8).reshape(*by_block, 4)
        self._code_blocks = self.codes.reshape(4, *by_block)

    def update(self, pixels: Pixels, changed: Sequence[Rect]) -> NDArray[np.bool_]:
        """Take over what changed.

        Parameters
        ----------
        pixels : ndarray of shape (height, width, 4)
            The whole frame, straight RGBA.
        changed : sequence of Rect
            Where it may differ from the frame before.

        Returns
        -------
        ndarray of shape (H / 8, W / 8)
            True for each block that did change.
        """
        blocks = np.zeros((self._shown_blocks.shape[0], self._shown_blocks.shape[2]), np.bool_)
        whole = np.ascontiguousarray(pixels).view(np.uint32)[..., 0]
        for rect in changed:
            self._take(whole, rect, blocks)
        rows, columns = np.nonzero(blocks)
        for start in range(0, len(rows), _AT_ONCE):
            part = slice(start, start + _AT_ONCE)
            self._convert(rows[part], columns[part])
        if len(rows):
            self._pad(blocks)
        return blocks

    def _take(self, whole: NDArray[np.uint32], rect: Rect, blocks: NDArray[np.bool_]) -> None:
        """Copy a rectangle to `_shown` and mark the blocks in which it differed."""
        place = np.s_[rect.top : rect.bottom, rect.left : rect.right]
        top, left = rect.top // BLOCK, rect.left // BLOCK
        bottom, right = -(-rect.bottom // BLOCK), -(-rect.right // BLOCK)
        differs = np.zeros(((bottom - top) * BLOCK, (right - left) * BLOCK), np.bool_)
        y, x = rect.top - top * BLOCK, rect.left - left * BLOCK
        inside = differs[y : y + rect.bottom - rect.top, x : x + rect.right - rect.left]
        np.not_equal(self._shown[place], whole[place], out=inside)
        # Eight truth values side by side read as one number: nonzero if any is true.
        by_row = differs.view(np.uint64).reshape(bottom - top, BLOCK, right - left)
        found = by_row.any(axis=1)
        if found.any():
            self._shown[place] = whole[place]
            blocks[top:bottom, left:right] |= found

    def _convert(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> None:
        pixels = self._shown_blocks[rows, :, columns]  # n, 8, 8, 4
        alpha = pixels[..., 3]
        colour = to_bt709(pixels)
        _fill_invisible(colour, alpha)
        for plane, values in zip(self._code_blocks[:3], colour, strict=True):
            plane[rows, :, columns] = values
        self._code_blocks[3][rows, :, columns] = alpha_to_10_bits(alpha)

    def _pad(self, blocks: NDArray[np.bool_]) -> None:
        width, height, codes = self.width, self.height, self.codes
        if width < codes.shape[2] and blocks[:, (width - 1) // BLOCK].any():
            codes[:, :, width:] = codes[:, :, width - 1 : width]
        if height < codes.shape[1] and blocks[(height - 1) // BLOCK].any():
            codes[:, height:] = codes[:, height - 1 : height]


def _fill_invisible(colour: Sequence[Codes], alpha: NDArray[np.uint8]) -> None:
    """Give pixels with alpha 0 the mean of their block, in place; arrays of shape (n, 8, 8)."""
    visible = alpha > 0
    seen = visible.sum(axis=(1, 2))
    (mixed,) = np.nonzero((seen > 0) & (seen < BLOCK * BLOCK))
    (unseen,) = np.nonzero(seen == 0)
    there, count = visible[mixed], seen[mixed].astype(np.int32)
    for plane, black in zip(colour, BLACK, strict=True):
        plane[unseen] = black
        values = plane[mixed]
        sums = np.where(there, values, 0).sum(axis=(1, 2), dtype=np.int32)
        mean = ((2 * sums + count) // (2 * count)).astype(np.uint16)
        plane[mixed] = np.where(there, values, mean[:, None, None])


def _whole(length: int, unit: int) -> int:
    return -(-length // unit) * unit
