"""Backdrops to look at an overlay over, and the reference for laying it over them.

Backdrops are opaque: an ndarray of shape (H, W, 3), uint8 RGB. `over` is Porter and Duff's *over*
("Compositing Digital Images", 1984) on coded values, as editing programs mix them, in floating
point and without rounding.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from overlays.draw.patch import Pixels

__all__ = ["BACKDROPS", "busy", "checkerboard", "over", "over_codes", "plain"]


def plain(width: int, height: int, *, rgb: tuple[int, int, int]) -> Pixels:
    """Return one colour all over."""
    return np.full((height, width, 3), rgb, np.uint8)


def checkerboard(
    width: int, height: int, *, square: int = 16, light: int = 153, dark: int = 102
) -> Pixels:
    """Return squares of two greys, the light one in the upper left corner.

    Parameters
    ----------
    width, height : int
        In pixels.
    square : int
        Side of a square in pixels.
    light, dark : int
        Their code values.
    """
    rows = np.arange(height)[:, None] // square
    columns = np.arange(width)[None, :] // square
    grey = np.where((rows + columns) % 2 == 0, light, dark).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def busy(width: int, height: int, *, seed: int = 1) -> Pixels:
    """Return a picture full of edges, colours and brightnesses, the same for the same seed.

    Blobs of colour, stripes and grain, spread over the whole range from black to white: a stand-in
    for difficult footage, not an imitation of any.
    """
    random = np.random.default_rng(seed)
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    scale = np.float32(max(8.0, min(width, height) / 12))
    picture = np.empty((height, width, 3), np.float32)
    for channel in range(3):
        waves = np.zeros((height, width), np.float32)
        for _ in range(6):
            across, down, phase = random.uniform(-1, 1), random.uniform(-1, 1), random.uniform(0, 6)
            size = scale * np.float32(random.uniform(0.3, 2))
            waves += np.sin((x * np.float32(across) + y * np.float32(down)) / size + phase)
        picture[..., channel] = waves
    picture += 2 * np.sign(np.sin((x + y) / (scale / 2)))[..., None]
    picture += random.normal(0, 0.7, (height, width, 1)).astype(np.float32)
    low, high = picture.min(), picture.max()
    span = max(float(high - low), 1e-6)
    # A steep middle, so that near-black and near-white cover a good part of the picture.
    even = np.clip(((picture - low) / span - 0.5) * 1.6 + 0.5, 0, 1)
    codes: Pixels = np.rint(even * 255).astype(np.uint8)
    return codes


def _black(width: int, height: int) -> Pixels:
    return plain(width, height, rgb=(0, 0, 0))


def _white(width: int, height: int) -> Pixels:
    return plain(width, height, rgb=(255, 255, 255))


def _green(width: int, height: int) -> Pixels:
    return plain(width, height, rgb=(0, 255, 0))


BACKDROPS: Mapping[str, Callable[[int, int], Pixels]] = MappingProxyType(
    {
        "checkerboard": checkerboard,
        "black": _black,
        "white": _white,
        "green": _green,
        "busy": busy,
    }
)


def over(pixels: Pixels, backdrop: Pixels) -> NDArray[np.float64]:
    """Lay straight RGBA over an opaque backdrop, exactly.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 4)
        uint8, straight alpha.
    backdrop : ndarray of shape (H, W, 3)
        uint8.

    Returns
    -------
    ndarray of shape (H, W, 3)
        Code values 0 to 255, not rounded: ``c_s a + c_b (1 - a)``.
    """
    alpha = pixels[..., 3:].astype(np.float64) / 255
    return pixels[..., :3] * alpha + backdrop * (1 - alpha)


def over_codes(pixels: Pixels, backdrop: Pixels) -> Pixels:
    """Return `over` rounded to the nearest code, halves up, by whole-number arithmetic."""
    alpha = pixels[..., 3:].astype(np.uint32)
    mixed = pixels[..., :3] * alpha + backdrop * (255 - alpha)
    # Halves cannot occur: 255 is odd. (t + 127) // 255 is the nearest for every sum.
    return ((mixed + 127) // 255).astype(np.uint8)
