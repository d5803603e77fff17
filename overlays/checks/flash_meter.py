"""Measures flashing as frames come, in memory that does not grow with their number.

The limits and their definitions stand in `overlays.checks.flash_definitions`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from overlays.checks.colour import linear_from_srgb
from overlays.checks.flash_definitions import (
    CELLS_ACROSS,
    DEFINITIONS,
    FIELD_SHARE,
    FIELDS_ACROSS,
    MOST_FLASHES,
    Light,
    states_of,
)
from overlays.checks.swings import Mask, Region, SwingCounter
from overlays.draw.backdrop import over_codes
from overlays.draw.patch import Pixels, Rect

__all__ = ["FlashCount", "FlashMeter", "FlashVerdict"]

_BAND_PX = 1 << 18  # pixels worked on at once: keeps temporary arrays to a few megabytes
_LIGHT_OF_CODE: Light = linear_from_srgb(np.arange(256) / 255).astype(np.float32)

_LightIn = Callable[[Rect], Light]


@dataclass(frozen=True, slots=True)
class FlashCount:
    """What was measured under one definition.

    Parameters
    ----------
    definition : str
        ``"general"``, ``"red (WCAG 2.0)"`` or ``"red (WCAG 2.2)"``.
    most_per_s : int
        The most flashes within one second anywhere, whatever the area.
    field_share, screen_share : float
        The largest area that had more than three flashes within one second, as a share of a
        10 degree field (the worst one) and of the screen; it can exceed 1 by the cells at the rim.
    first_frame, last_frame : int or None
        Where that area was first and last too large.
    """

    definition: str
    most_per_s: int
    field_share: float
    screen_share: float
    first_frame: int | None
    last_frame: int | None

    @property
    def passed(self) -> bool:
        """Whether the strict limit is kept."""
        return self.first_frame is None


@dataclass(frozen=True, slots=True)
class FlashVerdict:
    """The verdict on a clip over one backdrop.

    Parameters
    ----------
    backdrop : str
        What it was laid over.
    frames : int
        How many were seen.
    counts : tuple of FlashCount
        One for each definition.
    """

    backdrop: str
    frames: int
    counts: tuple[FlashCount, ...]

    @property
    def passed(self) -> bool:
        """Whether it keeps every limit, the area by the strictest reading."""
        return all(count.passed for count in self.counts)

    @property
    def quarter_of_screen(self) -> bool:
        """Whether it keeps BT.1702's area (a quarter of the screen) by its two definitions."""
        return all(
            count.screen_share <= FIELD_SHARE
            for count in self.counts
            if count.definition != "red (WCAG 2.2)"
        )


class FlashMeter:
    """Measures frames as they come, in memory that does not grow.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    rate : Fraction
        Frames per second.
    backdrop : str
        Name of what the frames are laid over, for the verdict.
    cell_px : int, optional
        Side of a cell; see the module's docstring.
    """

    def __init__(
        self,
        width: int,
        height: int,
        *,
        rate: Fraction,
        backdrop: str = "",
        cell_px: int | None = None,
    ) -> None:
        self._size = (height, width)
        self._cell = cell_px or max(1, min(width, height) // CELLS_ACROSS)
        self._backdrop = backdrop
        self._frames = 0
        grid = (-(-height // self._cell), -(-width // self._cell))
        counters = [
            SwingCounter(
                grid,
                rows=definition.rows,
                window_frames=math.ceil(rate),
                limit=2 * (MOST_FLASHES + 1),
                large=definition.large,
            )
            for definition in DEFINITIONS
        ]
        self._counters = tuple(counters)
        self._areas = tuple(_AreaRecord(width, height, self._cell) for _ in counters)

    def add(
        self, pixels: Pixels, backdrop: Pixels, *, changed: Sequence[Rect] | None = None
    ) -> None:
        """Take the next frame of an overlay.

        Parameters
        ----------
        pixels : ndarray of shape (H, W, 4)
            Straight RGBA.
        backdrop : ndarray of shape (H, W, 3)
            What it is laid over.
        changed : sequence of Rect, optional
            Where overlay or backdrop may differ from the frame before; everywhere where left out.
        """

        def light(rect: Rect) -> Light:
            part = np.s_[rect.top : rect.bottom, rect.left : rect.right]
            return _LIGHT_OF_CODE[over_codes(pixels[part], backdrop[part])]

        self._take(light, changed)

    def add_light(self, light: Light, *, changed: Sequence[Rect] | None = None) -> None:
        """Take the next frame as linear light of shape (H, W, 3), 0 to 1; see `add`."""
        self._take(lambda rect: light[rect.top : rect.bottom, rect.left : rect.right], changed)

    def verdict(self) -> FlashVerdict:
        """Return the verdict on the frames so far."""
        counts = tuple(
            FlashCount(
                definition.name,
                counter.most // 2,
                area.field_share,
                area.screen_share,
                area.first_frame,
                area.last_frame,
            )
            for definition, counter, area in zip(
                DEFINITIONS, self._counters, self._areas, strict=True
            )
        )
        return FlashVerdict(self._backdrop, self._frames, counts)

    def _take(self, light_in: _LightIn, changed: Sequence[Rect] | None) -> None:
        whole = Rect(0, 0, self._size[1], self._size[0])
        rects = [whole] if changed is None or self._frames == 0 else list(changed)
        inside = [rect.meet(whole) for rect in rects if not rect.meet(whole).empty]
        parts = [
            (self._region(band), states_of(self._averaged(light_in(band))))
            for rect in inside
            for band in self._bands(rect)
        ]
        for index, (counter, area) in enumerate(zip(self._counters, self._areas, strict=True)):
            own = [(region, states[index]) for region, states in parts]
            if self._frames == 0:
                counter.begin(own)
            elif counter.update(own):
                area.record(counter.over, self._frames)
        self._frames += 1

    def _bands(self, rect: Rect) -> Iterator[Rect]:
        """Yield the rectangle grown to whole cells, in bands of bounded size."""
        cell, (height, width) = self._cell, self._size
        left, right = rect.left // cell * cell, min(-(-rect.right // cell) * cell, width)
        bottom = min(-(-rect.bottom // cell) * cell, height)
        step = max(1, _BAND_PX // ((right - left) * cell)) * cell
        for top in range(rect.top // cell * cell, bottom, step):
            yield Rect(left, top, right, min(top + step, bottom))

    def _region(self, rect: Rect) -> Region:
        cell = self._cell
        return (
            slice(rect.top // cell, -(-rect.bottom // cell)),
            slice(rect.left // cell, -(-rect.right // cell)),
        )

    def _averaged(self, light: Light) -> Light:
        """Average over cells; those at the right and lower rim may hold fewer pixels."""
        cell = self._cell
        if cell == 1:
            return light
        rows, columns = -(-light.shape[0] // cell), -(-light.shape[1] // cell)
        total = np.zeros((rows, columns, 3), np.float32)
        pixels = np.zeros((rows, columns, 1), np.float32)
        for down in range(cell):
            for across in range(cell):
                part = light[down::cell, across::cell]
                total[: part.shape[0], : part.shape[1]] += part
                pixels[: part.shape[0], : part.shape[1]] += 1
        return np.asarray(total / pixels, np.float32)


class _AreaRecord:
    """Remembers the largest area over the limit, and when it was too large."""

    def __init__(self, width: int, height: int, cell: int) -> None:
        self.field_share = 0.0
        self.screen_share = 0.0
        self.first_frame: int | None = None
        self.last_frame: int | None = None
        self._screen = width * height
        field = (max(1, height // FIELDS_ACROSS), max(1, width // FIELDS_ACROSS))
        self._field = field[0] * field[1]
        self._field_cells = (-(-field[0] // cell), -(-field[1] // cell))
        rows = np.minimum(cell, height - np.arange(0, height, cell))
        columns = np.minimum(cell, width - np.arange(0, width, cell))
        self._pixels = (rows[:, None] * columns[None, :]).astype(np.int64)

    def record(self, over: Mask, frame: int) -> None:
        pixels = np.where(over, self._pixels, 0)
        self.screen_share = max(self.screen_share, int(pixels.sum()) / self._screen)
        worst = self._worst_field(pixels)
        self.field_share = max(self.field_share, worst / self._field)
        if worst > FIELD_SHARE * self._field:
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
