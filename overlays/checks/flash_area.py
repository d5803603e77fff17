"""How large an area flashes: the share of the worst field of view, and of the screen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from overlays.checks.flash_definitions import FIELD_SHARE, FIELDS_ACROSS
from overlays.checks.second_counter import Mask

__all__ = ["FlashArea"]


class FlashArea:
    """Remembers the largest area over the limit, and when it was too large.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    cell_px : int
        Side of a cell; those at the right and lower rim may be cut.

    Attributes
    ----------
    field_share, screen_share : float
        The largest area so far, as a share of a 10 degree field of view and of the screen. Within
        the limit the former is an upper bound.
    first_frame, last_frame : int or None
        Where it was first and last larger than the limit.
    """

    def __init__(self, width: int, height: int, *, cell_px: int) -> None:
        self.field_share = 0.0
        self.screen_share = 0.0
        self.first_frame: int | None = None
        self.last_frame: int | None = None
        self._screen = width * height
        field = (max(1, height // FIELDS_ACROSS), max(1, width // FIELDS_ACROSS))
        self._field = field[0] * field[1]
        self._field_cells = (-(-field[0] // cell_px), -(-field[1] // cell_px))
        rows = np.minimum(cell_px, height - np.arange(0, height, cell_px))
        columns = np.minimum(cell_px, width - np.arange(0, width, cell_px))
        self._pixels = (rows[:, None] * columns[None, :]).astype(np.int64)

    def record(self, over: Mask, frame: int) -> None:
        """Take the cells that are over the limit at a frame: a mask of shape (rows, columns)."""
        cells = np.flatnonzero(over)
        total = int(self._pixels.reshape(-1)[cells].sum())
        self.screen_share = max(self.screen_share, total / self._screen)
        limit = FIELD_SHARE * self._field
        # No field can hold more than there is: where that is little, finding the field is not worth
        # the time.
        worst = total if total <= limit else self._worst_field(np.where(over, self._pixels, 0))
        self.field_share = max(self.field_share, worst / self._field)
        if worst > limit:
            self.first_frame = frame if self.first_frame is None else self.first_frame
            self.last_frame = frame

    def _worst_field(self, pixels: NDArray[np.int64]) -> int:
        """Return the most flashing pixels that any field of view holds, by a summed-area table."""
        table = np.zeros((pixels.shape[0] + 1, pixels.shape[1] + 1), np.int64)
        np.cumsum(np.cumsum(pixels, axis=0), axis=1, out=table[1:, 1:])
        down, across = self._field_cells
        fields = (
            table[down:, across:]
            - table[:-down, across:]
            - table[down:, :-across]
            + table[:-down, :-across]
        )
        return int(fields.max())
