"""Users' pictures: what is read, what is refused in one clear error, and how they are placed."""

from __future__ import annotations

import os
import struct
import zlib
from contextlib import suppress
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from overlays.draw.patch import Rect
from overlays.draw.picture import MOST_ENLARGED, Picture, fitted_size, placed_in, read_picture
from overlays.errors import SessionError

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF")
# Colorants of sRGB in the ICC's profile connection space (D50), after B. Lindbloom's tables.
RED, GREEN, BLUE = (
    (0.4360747, 0.2225045, 0.0139322),
    (0.3850649, 0.7168786, 0.0971045),
    (0.1430804, 0.0606169, 0.7141733),
)


def saved(folder: Path, image: Image.Image, form: str = "PNG", **options: object) -> Path:
    # The ending says nothing: files are judged by their content.
    path = folder / "picture.dat"
    image.save(path, form, **options)
    return path


def read(folder: Path, image: Image.Image, form: str = "PNG", **options: object) -> Picture:
    return read_picture(saved(folder, image, form, **options), file="pictures/x")


def profile(red: tuple[float, ...], green: tuple[float, ...], gamma: float) -> bytes:
    """Build the smallest display profile: three colorants and a gamma (ICC.1:2001-04, clause 6)."""

    def xyz(values: tuple[float, ...]) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(struct.pack(">i", round(v * 65536)) for v in values)

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"
    text = b"text\0\0\0\0for tests\0\0\0"
    description = b"desc\0\0\0\0" + struct.pack(">I", 2) + b"t\0" + b"\0" * 78
    tags = {
        b"desc": description, b"cprt": text, b"wtpt": xyz((0.9642, 1.0, 0.8249)),
        b"rXYZ": xyz(red), b"gXYZ": xyz(green), b"bXYZ": xyz(BLUE),
        b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
    }  # fmt: skip
    table, body, at = b"", b"", 132 + 12 * len(tags)
    for name, content in tags.items():
        padded = content + b"\0" * (-len(content) % 4)
        table += name + struct.pack(">II", at + len(body), len(content))
        body += padded
    size = at + len(body)
    header = struct.pack(">I4sI4s4s4s12x4s", size, b"\0\0\0\0", 0x02100000, b"mntr", b"RGB ",
                         b"XYZ ", b"acsp").ljust(68, b"\0")  # fmt: skip
    header += struct.pack(">iii", *(round(v * 65536) for v in (0.9642, 1.0, 0.8249)))
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


@pytest.mark.parametrize("form", FORMATS)
def test_each_format_is_read_by_its_content(tmp_path: Path, form: str) -> None:
    """PNG, JPEG, WebP and TIFF give their colours, whatever the file is called."""
    picture = read(tmp_path, Image.new("RGB", (40, 20), (200, 60, 20)), form)
    assert picture.size == (40, 20)
    assert picture.pixels.shape == (20, 40, 4)
    assert np.abs(picture.pixels[10, 20].astype(int) - (200, 60, 20, 255)).max() <= 3
    assert not picture.pixels.flags.writeable


@pytest.mark.parametrize("form", ["PNG", "WEBP", "TIFF"])
def test_alpha_stays_straight(tmp_path: Path, form: str) -> None:
    """A half clear pixel keeps its full colour; a clear one has none."""
    image = Image.new("RGBA", (8, 8), (200, 60, 20, 128))
    image.putpixel((0, 0), (9, 9, 9, 0))
    options = {"lossless": True} if form == "WEBP" else {}
    pixels = read(tmp_path, image, form, **options).pixels
    assert tuple(pixels[4, 4]) == (200, 60, 20, 128)
    assert tuple(pixels[0, 0]) == (0, 0, 0, 0)


@pytest.mark.parametrize(
    ("image", "wanted"),
    [
        (Image.new("1", (4, 4), 1), (255, 255, 255, 255)),
        (Image.new("L", (4, 4), 90), (90, 90, 90, 255)),
        (Image.new("LA", (4, 4), (90, 128)), (90, 90, 90, 128)),
        (Image.fromarray(np.full((4, 4), 32768, np.uint16)), (128, 128, 128, 255)),
    ],
    ids=["1 bit", "grey", "grey with alpha", "grey of 16 bits"],
)
def test_greys_of_any_depth_become_rgba(
    tmp_path: Path, image: Image.Image, wanted: tuple[int, ...]
) -> None:
    """Grey is grey; 16 bits are scaled to 8 (32768 of 65535 is 127.5, rounded) and not cut off."""
    assert tuple(read(tmp_path, image).pixels[2, 2]) == wanted


def test_a_clear_grey_of_16_bits_is_clear(tmp_path: Path) -> None:
    """PNG's transparent sample value counts at 16 bits too (PNG specification, tRNS)."""
    levels = np.full((4, 4), 40000, np.uint16)
    levels[0, 0] = 7
    pixels = read(tmp_path, Image.fromarray(levels), transparency=7).pixels
    assert pixels[0, 0, 3] == 0
    assert pixels[1, 1, 3] == 255


def test_a_palette_with_a_clear_colour_becomes_rgba(tmp_path: Path) -> None:
    """The palette's clear entry is clear, the others have their colours."""
    image = Image.new("P", (6, 6), 1)
    image.putpalette([0, 0, 0, 255, 10, 20])
    image.putpixel((0, 0), 0)
    pixels = read(tmp_path, image, transparency=0).pixels
    assert pixels[0, 0, 3] == 0
    assert tuple(pixels[3, 3]) == (255, 10, 20, 255)


def test_cmyk_is_turned_into_rgb_and_said_to_be_a_guess(tmp_path: Path) -> None:
    """Magenta and yellow at full are red; without a profile that is a note."""
    picture = read(tmp_path, Image.new("CMYK", (16, 16), (0, 255, 255, 0)), "JPEG", quality=95)
    assert tuple(picture.pixels[8, 8]) == (255, 0, 0, 255)
    assert "guess" in picture.notes[0]


def test_the_embedded_profile_is_obeyed_and_alpha_left_alone(tmp_path: Path) -> None:
    """By a profile whose red and green are swapped, red is green; alpha has no profile."""
    swapped = profile(GREEN, RED, 2.2)
    image = Image.new("RGBA", (8, 8), (255, 0, 0, 77))
    picture = read(tmp_path, image, icc_profile=swapped)
    red, green, blue, alpha = picture.pixels[4, 4]
    assert red <= 2
    assert green >= 253
    assert blue <= 2
    assert alpha == 77
    assert picture.notes == ()


def test_linear_light_is_encoded_as_srgb_does(tmp_path: Path) -> None:
    """Half the light is code 188 (IEC 61966-2-1: 1.055 x 0.5^(1/2.4) - 0.055 = 0.7354)."""
    picture = read(tmp_path, Image.new("RGB", (8, 8), (128,) * 3),
                   icc_profile=profile(RED, GREEN, 1.0))  # fmt: skip
    assert np.abs(picture.pixels[4, 4, :3].astype(int) - 188).max() <= 1


def test_a_profile_that_is_none_is_passed_over_with_a_note(tmp_path: Path) -> None:
    """Rubbish for a profile leaves the colours as they are, and says so."""
    picture = read(tmp_path, Image.new("RGB", (8, 8), (10, 200, 30)), icc_profile=b"rubbish" * 40)
    assert tuple(picture.pixels[4, 4]) == (10, 200, 30, 255)
    assert "profile" in picture.notes[0]


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize(
    ("orientation", "corner"), [(1, (0, 0)), (3, (-1, -1)), (6, (0, -1)), (8, (-1, 0))]
)
def test_pictures_are_turned_upright(
    tmp_path: Path, form: str, orientation: int, corner: tuple[int, int]
) -> None:
    """EXIF 2.3, tag 274: where row 0 and column 0 lie (6: right and top, 8: left and bottom)."""
    image = Image.new("RGB", (64, 32), (20, 20, 200))
    image.paste((220, 20, 20), (0, 0, 16, 16))
    exif = Image.Exif()
    exif[274] = orientation
    picture = read(tmp_path, image, form, exif=exif)
    turned = orientation in (6, 8)
    assert picture.size == ((32, 64) if turned else (64, 32))
    assert picture.pixels.shape[:2] == ((64, 32) if turned else (32, 64))
    rows, columns = np.nonzero(picture.pixels[..., 0] > 150)
    middle = (
        rows.mean() > picture.pixels.shape[0] / 2,
        columns.mean() > picture.pixels.shape[1] / 2,
    )
    assert middle == (corner[0] == -1, corner[1] == -1)


def test_a_large_photo_is_kept_no_larger_than_needed(tmp_path: Path) -> None:
    """4000 x 3000 pixels are kept as a quarter, turned upright, and their own size remembered."""
    exif = Image.Exif()
    exif[274] = 6
    picture = read(tmp_path, Image.new("RGB", (4000, 3000), (90, 120, 60)), "JPEG", exif=exif)
    assert picture.size == (3000, 4000)
    assert picture.pixels.shape == (1000, 750, 4)


@pytest.mark.parametrize("form", ["PNG", "WEBP", "TIFF"])
def test_of_several_pictures_the_first_is_shown_with_a_note(tmp_path: Path, form: str) -> None:
    """An animation, or a file of several pages, shows its first picture."""
    frames = [Image.new("RGB", (9, 9), (200 - 90 * i, 0, 0)) for i in range(3)]
    picture = read(tmp_path, frames[0], form, save_all=True, append_images=frames[1:])
    assert abs(int(picture.pixels[4, 4, 0]) - 200) <= 3
    assert picture.notes == ("holds several pictures; the first one is shown.",)


def error_of(path: Path) -> SessionError:
    with pytest.raises(SessionError) as caught:
        read_picture(path, file="pictures/x.png")
    assert "'pictures/x.png'" in caught.value.message or caught.value.code in (
        "not-a-file", "file-too-large",
    )  # fmt: skip
    assert caught.value.remedy
    return caught.value


@pytest.mark.parametrize("form", FORMATS)
def test_a_picture_that_is_cut_off_is_told_as_such(tmp_path: Path, form: str) -> None:
    """Half a file is one error that names the file, not half a picture."""
    noise = np.random.default_rng(3).integers(0, 255, (60, 80, 3), np.uint8)
    path = saved(tmp_path, Image.fromarray(noise), form)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    assert error_of(path).code in ("broken-picture", "not-a-picture")


@pytest.mark.parametrize(
    "content", [b"", b"no picture at all", b"%PDF-1.7\n", b"GIF89a" + b"\0" * 60]
)
def test_what_is_no_picture_is_refused(tmp_path: Path, content: bytes) -> None:
    """Other content is refused by name of the formats that are read."""
    path = tmp_path / "x.png"
    path.write_bytes(content)
    error = error_of(path)
    assert error.code == "not-a-picture"
    assert "PNG, JPEG, WebP or TIFF" in error.message


def test_other_formats_are_refused_whatever_their_ending(tmp_path: Path) -> None:
    """A GIF, a BMP and an icon are no pictures here, even called .png."""
    for form in ("GIF", "BMP", "ICO", "PPM"):
        assert error_of(saved(tmp_path, Image.new("RGB", (16, 16)), form)).code == "not-a-picture"


def test_what_is_not_there_or_no_file_is_told(tmp_path: Path) -> None:
    """A missing file and a folder are errors; nothing is waited for."""
    assert error_of(tmp_path / "none.png").code == "missing-picture"
    assert error_of(tmp_path).code == "not-a-file"
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.png")
        assert error_of(tmp_path / "pipe.png").code == "not-a-file"


def test_a_file_too_large_is_not_read(tmp_path: Path) -> None:
    """More than 24 MB is refused."""
    path = tmp_path / "x.png"
    with path.open("wb") as file:
        file.truncate(24_000_001)
    assert error_of(path).code == "file-too-large"


@pytest.mark.parametrize("side", [7072, 20_000])
def test_more_pixels_than_a_camera_takes_are_not_decoded(tmp_path: Path, side: int) -> None:
    """A small file that would unpack to 50 million pixels and more is refused by its header."""
    content = BytesIO()
    Image.new("1", (8, 8)).save(content, "PNG")
    data = bytearray(content.getvalue())
    # The header's width and height; its check sum is made anew (PNG specification, IHDR).
    data[16:24] = struct.pack(">II", side, side)
    data[29:33] = struct.pack(">I", zlib.crc32(bytes(data[12:29])))
    path = tmp_path / "x.png"
    path.write_bytes(bytes(data))
    assert error_of(path).code == "picture-too-large"


def test_what_cannot_be_seen_or_holds_no_colours_is_refused(tmp_path: Path) -> None:
    """A picture that is clear all over, and numbers of 32 bits, are errors."""
    assert error_of(saved(tmp_path, Image.new("RGBA", (9, 9)))).code == "empty-picture"
    assert error_of(saved(tmp_path, Image.new("F", (9, 9), 0.5), "TIFF")).code == "bad-picture-mode"


CHANGES = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), max_size=12)


@settings(max_examples=150, deadline=None)
@given(form=st.sampled_from(FORMATS), places=CHANGES, kept=st.floats(0, 1))
def test_however_damaged_a_file_is_it_is_a_picture_or_one_error(
    tmp_path_factory: pytest.TempPathFactory,
    form: str,
    places: list[tuple[float, int]],
    kept: float,
) -> None:
    """Bytes changed anywhere, or cut off anywhere: pixels or a `SessionError`, nothing else."""
    image = Image.new("RGB" if form == "JPEG" else "RGBA", (24, 17), (200, 100, 50))
    path = saved(tmp_path_factory.mktemp("damaged"), image, form)
    content = bytearray(path.read_bytes())
    for at, value in places:
        content[round(at * (len(content) - 1))] = value
    path.write_bytes(bytes(content[: round(kept * len(content))] if kept < 0.5 else content))
    with suppress(SessionError):
        picture = read_picture(path, file="x")
        assert picture.pixels.ndim == 3
        assert picture.pixels.shape[2] == 4


def test_the_digest_is_of_the_bytes(tmp_path: Path) -> None:
    """Equal files are equal pictures; a single pixel more and they are not."""
    image = Image.new("RGB", (9, 9), (1, 2, 3))
    first, again = read(tmp_path, image), read(tmp_path, image)
    image.putpixel((0, 0), (1, 2, 4))
    assert first == again
    assert first != read(tmp_path, image)


def cut_out(tmp_path: Path, colour: tuple[int, int, int], around: tuple[int, int, int]) -> Picture:
    pixels = np.zeros((300, 400, 4), np.uint8)
    pixels[..., :3] = around
    y, x = np.mgrid[:300, :400]
    pixels[(x - 200) ** 2 + (y - 150) ** 2 < 130**2] = (*colour, 255)
    return read(tmp_path, Image.fromarray(pixels))


@pytest.mark.parametrize("colour", [(255, 255, 255), (0, 0, 0), (220, 40, 40)])
def test_scaling_leaves_no_fringe(tmp_path: Path, colour: tuple[int, int, int]) -> None:
    """Over its own colour a cut-out cannot be seen, whatever colour its clear pixels had."""
    for around in ((0, 0, 0), (255, 255, 255), (0, 255, 0)):
        picture = cut_out(tmp_path, colour, around)
        pixels = placed_in(picture, Rect(0, 0, 97, 71)).patch.pixels
        share = pixels[..., 3:] / 255
        over = pixels[..., :3] * share + np.array(colour) * (1 - share)
        assert np.abs(over - colour).max() < 1.01
        assert len(np.unique(pixels[..., 3])) > 8  # the edge is smooth


def test_a_picture_lies_in_the_middle_of_its_box_at_its_proportions(tmp_path: Path) -> None:
    """400 x 300 in a box of 100 x 100 is 100 x 75, twelve rows below the top."""
    layer = placed_in(cut_out(tmp_path, (9, 9, 9), (0, 0, 0)), Rect(50, 60, 150, 160))
    assert (layer.left, layer.top) == (50, 72)
    assert (layer.patch.width, layer.patch.height) == (100, 75)


@given(wide=st.integers(1, 4000), high=st.integers(1, 4000), width=st.integers(1, 900),
       height=st.integers(1, 900))  # fmt: skip
def test_a_fitted_picture_never_leaves_its_box(
    wide: int, high: int, width: int, height: int
) -> None:
    """It fills the box one way, unless it would be enlarged more than one and a half times."""
    picture = Picture("x", "", (wide, high), np.zeros((1, 1, 4), np.uint8))
    across, down = fitted_size(picture, width, height)
    assert 1 <= across <= width
    assert 1 <= down <= height
    assert across == width or down == height or across >= min(wide, width) * 0.99
    assert across <= max(1, round(MOST_ENLARGED * wide))
