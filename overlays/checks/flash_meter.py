"""Measures flashing as frames come, in memory that does not grow with their number.

The limits and their definitions stand in `overlays.checks.flash_definitions`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from overlays.checks.colour import linear_from_srgb
from overlays.checks.flash_area import FlashArea
from overlays.checks.flash_definitions import (
    CELLS_ACROSS,
    DEFINITIONS,
    FIELD_SHARE,
    MOST_FLASHES,
    Light,
    states_of,
)
from overlays.checks.swings import Region, SwingCounter
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
        10 degree field (the worst one; an upper bound within the limit) and of the screen. The
        former can exceed 1 by the cells at the field's rim.
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
    """Measures frames over several backdrops as they come, in memory that does not grow.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    rate : Fraction
        Frames per second.
    backdrops : sequence of str
        Names of what the frames are laid over, for the verdicts.
    cell_px : int, optional
        Side of a cell; see `overlays.checks.flash_definitions`.
    within : Rect, optional
        Nothing outside is looked at; everything by default.
    """

    def __init__(
        self,
        width: int,
        height: int,
        *,
        rate: Fraction,
        backdrops: Sequence[str],
        cell_px: int | None = None,
        within: Rect | None = None,
    ) -> None:
        self._size = (height, width)
        self._within = within or Rect(0, 0, width, height)
        self._cell = cell_px or max(1, min(width, height) // CELLS_ACROSS)
        self._backdrops = tuple(backdrops)
        self._frames = 0
        # The backdrops lie on an axis of their own in front of rows and columns: what changes from
        # frame to frame is small, and calling numpy costs more than the arithmetic.
        grid = (len(self._backdrops), -(-height // self._cell), -(-width // self._cell))
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
        areas = [
            tuple(FlashArea(width, height, cell_px=self._cell) for _ in self._backdrops)
            for _ in counters
        ]
        self._measures = tuple(zip(counters, areas, strict=True))

    def add(
        self,
        pixels: Pixels,
        pictures: Sequence[Pixels],
        *,
        changed: Sequence[Rect] | None = None,
    ) -> None:
        """Take the next frame of an overlay.

        Parameters
        ----------
        pixels : ndarray of shape (H, W, 4)
            Straight RGBA.
        pictures : sequence of ndarray of shape (H, W, 3)
            The backdrops at this frame, in the order of their names.
        changed : sequence of Rect, optional
            Where overlay or backdrops may differ from the frame before; everywhere where left out.
        """

        def light(rect: Rect) -> Light:
            part = np.s_[rect.top : rect.bottom, rect.left : rect.right]
            behind = np.stack([picture[part] for picture in pictures])
            return _LIGHT_OF_CODE[over_codes(pixels[part], behind)]

        self._take(light, changed)

    def add_light(self, light: Light, *, changed: Sequence[Rect] | None = None) -> None:
        """Take the next frame as linear light, 0 to 1, of shape (H, W, 3); see `add`.

        It is the same over every backdrop.
        """

        def repeated(rect: Rect) -> Light:
            part = light[rect.top : rect.bottom, rect.left : rect.right]
            return np.broadcast_to(part, (len(self._backdrops), *part.shape))

        self._take(repeated, changed)

    def verdicts(self) -> tuple[FlashVerdict, ...]:
        """Return the verdict over each backdrop on the frames so far."""
        return tuple(self._verdict(index) for index in range(len(self._backdrops)))

    def _verdict(self, index: int) -> FlashVerdict:
        counts = tuple(
            FlashCount(
                definition.name,
                int(counter.most[index]) // 2,
                areas[index].field_share,
                areas[index].screen_share,
                areas[index].first_frame,
                areas[index].last_frame,
            )
            for definition, (counter, areas) in zip(DEFINITIONS, self._measures, strict=True)
        )
        return FlashVerdict(self._backdrops[index], self._frames, counts)

    def _take(self, light_in: _LightIn, changed: Sequence[Rect] | None) -> None:
        whole = self._within
        rects = [whole] if changed is None or self._frames == 0 else list(changed)
        inside = [rect.meet(whole) for rect in rects if not rect.meet(whole).empty]
        parts = [
            (self._region(band), states_of(self._averaged(light_in(band))))
            for rect in inside
            for band in self._bands(rect)
        ]
        for index, (counter, areas) in enumerate(self._measures):
            own = [(region, states[index]) for region, states in parts]
            if self._frames == 0:
                counter.begin(own)
                continue
            for backdrop in np.flatnonzero(counter.update(own)):
                areas[backdrop].record(counter.over(int(backdrop)), self._frames)
        self._frames += 1

    def _bands(self, rect: Rect) -> Iterator[Rect]:
        """Yield the rectangle grown to whole cells, in bands of bounded size."""
        cell, (height, width) = self._cell, self._size
        left, right = rect.left // cell * cell, min(-(-rect.right // cell) * cell, width)
        bottom = min(-(-rect.bottom // cell) * cell, height)
        row_px = (right - left) * cell * len(self._backdrops)
        step = max(1, _BAND_PX // row_px) * cell
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
        layers, height, width, _ = light.shape
        rows, columns = -(-height // cell), -(-width // cell)
        total = np.zeros((layers, rows, columns, 3), np.float32)
        for down in range(cell):
            for across in range(cell):
                part = light[:, down::cell, across::cell]
                total[:, : part.shape[1], : part.shape[2]] += part
        high = np.minimum(cell, height - np.arange(0, height, cell))
        wide = np.minimum(cell, width - np.arange(0, width, cell))
        pixels = (high[:, None] * wide).astype(np.float32)
        return np.asarray(total / pixels[..., None], np.float32)
