"""A user's picture: read with care, brought to sRGB with straight alpha, and placed in a box.

The file is judged by its content, never by its name, and decoded by Pillow. What comes out is
plain data: the pixels, no larger than any layout needs, and a digest of the file they came from.
Scaling multiplies colour by alpha on the way and divides it again: the colour of a clear pixel
means nothing, and mixed in it would be a dark fringe.
"""

from __future__ import annotations

import hashlib
import math
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlays.draw.patch import Layer, Patch, Pixels, Rect
from overlays.errors import SessionError
from overlays.session.stored import stored_bytes

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["MOST_ENLARGED", "Picture", "fitted_size", "placed_in", "read_picture"]

MOST_ENLARGED = 1.5
"""How far a picture is enlarged at most: beyond that it would be seen to be soft."""

_FORMATS = ("PNG", "JPEG", "WEBP", "TIFF")
_LARGEST_FILE, _MOST_PIXELS = 24_000_000, 50_000_000
# Reduced by a whole number, half of it may be left: that is still more than any layout asks for on
# a canvas of 2160 lines.
_LONGEST_KEPT = 1200
_ORIENTATION, _PROFILE = 0x0112, "icc_profile"
_REMEDY = "Save it anew as an 8-bit PNG with alpha, or as a JPEG."
# What Pillow's decoders are known to raise on damaged files.
_BROKEN = (
    OSError, SyntaxError, ValueError, EOFError, struct.error, KeyError, IndexError, TypeError,
    OverflowError, ZeroDivisionError, AttributeError, NotImplementedError, MemoryError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture ready to be placed.

    Parameters
    ----------
    file : str
        As the session names it.
    digest : str
        SHA-256 of the file's bytes; equal digests are equal pictures.
    size : (int, int)
        Width and height of the file's picture, upright.
    pixels : ndarray of shape (H, W, 4)
        uint8 sRGB with straight alpha, read-only, the longer side at most 1200.
    notes : tuple of str
        What was assumed about the file.
    """

    file: str
    digest: str
    size: tuple[int, int]
    pixels: Pixels = field(compare=False, repr=False)
    notes: tuple[str, ...] = ()


def read_picture(path: Path, *, file: str) -> Picture:
    """Read a picture.

    Parameters
    ----------
    path : Path
        PNG, JPEG, WebP or TIFF by content; links have been judged before
        (`overlays.session.paths`).
    file : str
        As the session names it, for messages.

    Returns
    -------
    Picture
        Turned upright as EXIF says, its colours converted to sRGB by the profile that is embedded;
        without one they are taken as sRGB (a PNG's gamma alone is not looked at).

    Raises
    ------
    SessionError
        If there is no such file, it is no picture of these formats, broken, cut off, empty, or
        larger than 24 MB or 50 million pixels.
    """
    try:
        content = stored_bytes(path, largest=_LARGEST_FILE, remedy="Save the picture smaller.")
    except OSError as error:
        raise SessionError(
            f"there is no readable picture {file!r}.",
            code="missing-picture",
            remedy="Put the file there, or correct its name.",
        ) from error
    try:
        size, pixels, notes = _decoded(content)
    except SessionError as error:
        raise SessionError(
            f"{file!r} {error.message}", code=error.code, remedy=error.remedy
        ) from error
    return Picture(file, hashlib.sha256(content).hexdigest(), size, pixels, notes)


# Several cues show the same picture.
@lru_cache(maxsize=8)
def _decoded(content: bytes) -> tuple[tuple[int, int], Pixels, tuple[str, ...]]:
    from PIL import ImageOps

    with _opened(content) as image:
        notes: list[str] = []
        if getattr(image, "n_frames", 1) > 1 and image.format != "MPO":
            notes.append("holds several pictures; the first one is shown.")
        wide, high = image.size
        # JPEG is decoded at a half or a quarter of its size where that is enough.
        image.draft(None, (2 * _LONGEST_KEPT, 2 * _LONGEST_KEPT))
        image.load()
        plain = _plain(image, notes)
        upright = _reduced(ImageOps.exif_transpose(plain))
        if (upright.width > upright.height) != (wide > high):
            wide, high = high, wide
        pixels = np.array(_srgb(upright, notes), np.uint8)
    if not pixels[..., 3].any():
        raise SessionError("is clear all over.", code="empty-picture", remedy=_REMEDY)
    pixels[pixels[..., 3] == 0] = 0
    pixels.setflags(write=False)
    return (wide, high), pixels, tuple(notes)


@contextmanager
def _opened(content: bytes) -> Iterator[Image]:
    """Open a picture, and tell whatever fails while it is being decoded as one error."""
    from PIL import Image as Pillow
    from PIL import UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Pillow.DecompressionBombWarning)
            with Pillow.open(BytesIO(content), formats=_FORMATS) as image:
                if image.width * image.height > _MOST_PIXELS:
                    raise _too_large(f"has {image.width} x {image.height} pixels")
                yield image
    except UnidentifiedImageError as error:
        raise SessionError(
            "is not a picture that can be read; expected PNG, JPEG, WebP or TIFF.",
            code="not-a-picture",
            remedy=_REMEDY,
        ) from error
    except (Pillow.DecompressionBombError, Pillow.DecompressionBombWarning) as error:
        raise _too_large("has more pixels than a camera takes") from error
    except _BROKEN as error:
        said = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
        raise SessionError(
            f"is cut off or damaged: {said.rstrip('.')}.",
            code="broken-picture",
            remedy=f"Copy the file again. {_REMEDY}",
        ) from error


def _too_large(found: str) -> SessionError:
    return SessionError(
        f"{found}; expected {_MOST_PIXELS // 1_000_000} million at most.",
        code="picture-too-large",
        remedy="Save the picture smaller; 1200 pixels are enough for any canvas.",
    )


def _plain(image: Image, notes: list[str]) -> Image:
    """Return the picture in 8 bits as L, LA, RGB, RGBA, CMYK or LAB, with profile and turn."""
    profile = image.info.get(_PROFILE)
    clear = "transparency" in image.info
    if image.mode.startswith("I;16") or (image.mode == "I" and image.format == "PNG"):
        plain = _from_16_bits(image)
    elif image.mode in ("I", "F"):
        raise SessionError(
            "holds numbers of 32 bits, not colours.", code="bad-picture-mode", remedy=_REMEDY
        )
    elif image.mode in ("P", "PA") or clear:
        plain = image.convert("RGBA")
    elif image.mode in ("L", "LA", "RGB", "RGBA", "CMYK", "LAB"):
        plain = image.copy()
    else:
        plain = image.convert("L" if image.mode == "1" else "RGB")
    if plain.mode == "CMYK" and not profile:
        notes.append("is CMYK without a colour profile; its colours are a guess.")
    # The orientation is known to the file's own reader only, which a copy no longer is.
    orientation = image.getexif().get(_ORIENTATION)
    plain.info = {_PROFILE: profile}
    if orientation is not None:
        plain.getexif()[_ORIENTATION] = orientation
    return plain


def _from_16_bits(image: Image) -> Image:
    """Scale a grey picture of 16 bits to 8, which Pillow itself would cut off at 255."""
    from PIL import Image as Pillow

    levels = np.asarray(image, np.uint32)
    grey = Pillow.fromarray(((levels * 255 + 32767) // 65535).astype(np.uint8))
    if "transparency" in image.info:
        seen = levels != image.info["transparency"]
        grey.putalpha(Pillow.fromarray(seen.astype(np.uint8) * np.uint8(255)))
    return grey


def _reduced(image: Image) -> Image:
    """Reduce a large picture by a whole number, by the mean of the pixels that become one."""
    factor = math.ceil(max(image.size) / _LONGEST_KEPT)
    small = image.reduce(factor)
    small.info = image.info
    return small


def _srgb(image: Image, notes: list[str]) -> Image:
    """Convert to sRGB by the embedded profile, alpha untouched."""
    from PIL import ImageCms

    alpha = image.getchannel("A") if image.mode in ("LA", "RGBA") else None
    colour = image.convert({"LA": "L", "RGBA": "RGB"}.get(image.mode, image.mode))
    profile = image.info.get(_PROFILE)
    source = None
    try:
        if image.mode == "LAB":
            source = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
        elif profile:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
        if source is not None:
            srgb = ImageCms.createProfile("sRGB")
            done = ImageCms.profileToProfile(colour, source, srgb, outputMode="RGB")
            colour = colour if done is None else done
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        notes.append("has a colour profile that cannot be used; its colours are taken as sRGB.")
    colour = colour.convert("RGB").convert("RGBA")
    if alpha is not None:
        colour.putalpha(alpha)
    return colour


def fitted_size(picture: Picture, width: int, height: int) -> tuple[int, int]:
    """Return the size in pixels at which a picture fits a box, its proportions kept.

    It is enlarged no further than `MOST_ENLARGED` times the file's own pixels.
    """
    wide, high = picture.size
    share = min(width / wide, height / high, MOST_ENLARGED)
    return (
        min(width, max(1, round(wide * share))),
        min(height, max(1, round(high * share))),
    )


def placed_in(picture: Picture, box: Rect) -> Layer:
    """Scale a picture to a box and place it in its middle, at whole pixels."""
    size = fitted_size(picture, box.right - box.left, box.bottom - box.top)
    left = box.left + (box.right - box.left - size[0]) // 2
    top = box.top + (box.bottom - box.top - size[1]) // 2
    return Layer(Patch(_scaled(picture.pixels, size)), left, top)


def _scaled(pixels: Pixels, size: tuple[int, int]) -> Pixels:
    """Scale straight pixels by Lanczos' filter, colour weighed by alpha.

    Pillow does the same for RGBA, but rounds in between: where the filter overshoots, alpha is cut
    off at opaque and colour is not, so that an edge gets a bright line of up to twenty codes.
    """
    from PIL import Image as Pillow

    if size == (pixels.shape[1], pixels.shape[0]):
        return pixels
    alpha = pixels[..., 3].astype(np.float32) / np.float32(255)
    weighed = (pixels[..., channel] * alpha for channel in range(3))
    *colour, share = (
        np.asarray(Pillow.fromarray(plane).resize(size, Pillow.Resampling.LANCZOS))
        for plane in (*weighed, alpha)
    )
    seen = share > 0.5 / 255
    scaled = np.zeros((size[1], size[0], 4), np.uint8)
    for channel, plane in enumerate(colour):
        straight = plane[seen] / share[seen]
        scaled[seen, channel] = np.rint(np.clip(straight, 0, 255))
    scaled[..., 3] = np.rint(np.clip(share, 0, 1) * 255)
    scaled[~seen] = 0
    return scaled
