"""Text: boxes that hold it, scripts in their direction, missing glyphs named."""

from __future__ import annotations

import csv
import io
import os
import unicodedata
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # it has no stubs

from overlays.draw.page import Page
from overlays.draw.text import Face, fitted, wrapped
from overlays.errors import StyleError
from overlays.style.colour import Colour
from overlays.style.house import load_style

CASES = Path(__file__).parents[1] / "data" / "cases"
INK = Colour(255, 255, 255)


@pytest.fixture(scope="module")
def face() -> Face:
    return Page(1920, 1080, load_style("rule")).face("loud", 60)


def test_ink_stays_within_the_line(face: Face) -> None:
    """Accents and descenders lie within ascent and descent, and the width holds the ink."""
    layer = face.layer("ÅÜgjpqyQ", 0, 0, INK)
    assert -face.ascent <= layer.top
    assert layer.covers.bottom <= face.descent
    assert layer.covers.right <= face.width("ÅÜgjpqyQ") + 2
    assert face.cap_height < face.ascent


def test_alignment_is_where_it_says(face: Face) -> None:
    """Left, centre and right place the same ink by its advance."""
    width = face.width("Hub")
    left, centre, right = (
        face.layer("Hub", 500, 0, INK, align).left for align in ("left", "centre", "right")
    )
    assert abs((left - centre) - width / 2) <= 1
    assert abs((left - right) - width) <= 1


def test_the_same_text_is_drawn_once(face: Face) -> None:
    """Equal text in equal colour is the same patch, so that a hold is seen as one."""
    assert face.layer("71.2", 0, 0, INK).patch is face.layer("71.2", 9, 9, INK).patch
    assert face.layer("71.2", 0, 0, INK).patch is not face.layer("71.3", 0, 0, INK).patch


def test_composed_and_decomposed_accents_are_one(face: Face) -> None:
    """NFC and NFD of a name give the same pixels."""
    name = "Équipe Été"
    forms = [unicodedata.normalize(form, name) for form in ("NFC", "NFD")]
    first, second = (face.layer(form, 0, 0, INK).patch.pixels for form in forms)
    np.testing.assert_array_equal(first, second)


def names() -> list[str]:
    with (CASES / "text_names.csv").open(encoding="utf-8") as file:
        return [row["name"] for row in csv.DictReader(file)]


def test_names_are_kept_as_written() -> None:
    """Seven names: points, points composed, direction and first point (case text_names)."""
    strong = {"L": "ltr", "R": "rtl", "AL": "rtl"}
    told = []
    for name in names():
        composed = unicodedata.normalize("NFC", name)
        ways = [unicodedata.bidirectional(character) for character in name]
        direction = next((strong[way] for way in ways if way in strong), "ltr")
        told.append((len(name), len(composed), direction, ord(name[0])))
    assert told == [
        (13, 10, "ltr", 0x0045),
        (3, 3, "ltr", 0x6771),
        (10, 10, "rtl", 0x0641),
        (7, 7, "rtl", 0x05E6),
        (6, 6, "ltr", 0x1F680),
        (7, 7, "ltr", 0x1F469),
        (3, 3, "ltr", 0x00D8),
    ]


def test_names_are_drawn_or_their_missing_glyph_is_named(face: Face) -> None:
    """No hollow boxes: a name is drawn whole, or an error names its first missing code point."""
    missing = {}
    for name in names():
        try:
            assert face.layer(name, 0, 0, INK).patch.pixels[..., 3].any()
        except StyleError as error:
            missing[name] = error
    # The packaged fonts cover Latin, Greek, Cyrillic, Hebrew and Arabic, the extra's the rest.
    rocket, joined = names()[4], names()[5]
    assert set(missing) == {rocket, joined}
    assert "U+1F680 (ROCKET)" in str(missing[rocket])
    assert "U+1F469 (WOMAN)" in str(missing[joined])
    assert "Leave the symbol out" in (missing[rocket].remedy or "")


def test_east_asian_names_need_the_extra(face: Face) -> None:
    """Without its font the error says what to install, with it three ideographs are drawn."""
    name = names()[1]
    without = Face(tuple(file for file in face.files if "CJK" not in file), face.size)
    assert without.files != face.files
    ink = face.layer(name, 0, 0, INK).patch.pixels[..., 3] > 128
    gaps = np.flatnonzero(np.diff(ink.any(axis=0).astype(int)) == -1)
    assert len(gaps) >= 2
    with pytest.raises(StyleError, match=r"U\+6771"):
        without.layer(name, 0, 0, INK)


def test_the_remedy_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the font of the extra is not installed, the remedy is to install it."""
    monkeypatch.setattr("overlays.draw.text._east_asian", lambda: ())
    plain = Page(1920, 1080, load_style("rule")).face("loud", 60)
    for text, code in (("東", "6771"), ("한", "D55C"), ("ア", "30A2")):
        with pytest.raises(StyleError, match=rf"U\+{code}") as caught:
            plain.layer(text, 0, 0, INK)
        assert "tracereel[cjk]" in (caught.value.remedy or "")


def test_hebrew_runs_right_to_left_once(face: Face) -> None:
    """The first letter read stands at the right end, the last at the left (case text_names)."""
    first, last = "ל", "ו"
    ink = face.layer(first + last, 0, 0, INK).patch.pixels[..., 3] > 128
    tall = np.flatnonzero(ink[: ink.shape[0] // 6].any(axis=0))
    # Lamed alone rises above the letters' height; vav does not.
    assert tall.min() > ink.shape[1] * 0.3


def test_arabic_is_joined_and_runs_right_to_left(face: Face) -> None:
    """Arabic is shaped once: letters join, so the word is narrower than its letters apart."""
    word = "فريق"
    assert face.width(word) < sum(face.width(letter) for letter in word)
    # The first letter read, feh, has a dot above; it must stand at the right end.
    ink = face.layer(word, 0, 0, INK).patch.pixels[..., 3] > 128
    alone = face.layer("فر", 0, 0, INK).patch.pixels[..., 3] > 128
    right_half = ink[:, ink.shape[1] // 2 :]
    upper = right_half[: alone.shape[0] // 3]
    assert upper.any()


def test_a_control_character_is_an_error(face: Face) -> None:
    """Nothing unprintable is drawn."""
    with pytest.raises(StyleError, match=r"U\+0007"):
        face.layer("a\x07b", 0, 0, INK)


def test_long_text_is_cut_visibly(face: Face) -> None:
    """What does not fit ends in an ellipsis and fits; what fits is untouched."""
    assert fitted(face, "Short", 10_000) == "Short"
    for width in (60, 200, 333):
        cut = fitted(face, "A rather long name, and then some", width)
        assert cut.endswith("…")
        assert face.width(cut) <= width
        longer = cut[:-1] + "A rather long name, and then some"[len(cut) - 1] + "…"
        assert face.width(longer) > width


def test_lines_break_between_parts(face: Face) -> None:
    """Parts stay whole, as many to a line as fit; empty ones are left out."""
    parts = ["brake torque", "", "middle of three runs", "20 Hz"]
    assert wrapped(face, parts, " · ", 10_000) == ["brake torque · middle of three runs · 20 Hz"]
    lines = wrapped(face, parts, " · ", face.width("middle of three runs") + 1)
    assert lines == ["brake torque", "middle of three runs", "20 Hz"]


def test_a_missing_font_is_named(tmp_path: Path) -> None:
    """A font file that is nowhere, or outside the style's folder, is an error."""
    style = load_style("rule")
    fonts = style.fonts.model_copy(update={"text": "Nowhere.otf"})
    page = Page(1920, 1080, style.model_copy(update={"fonts": fonts}))
    with pytest.raises(StyleError, match=r"no font file 'Nowhere\.otf'"):
        page.face("text", 20)
    (tmp_path / "rule").mkdir()
    (tmp_path / "rule" / "Broken.otf").write_bytes(b"not a font at all")
    broken = style.model_copy(
        update={"root": tmp_path, "fonts": style.fonts.model_copy(update={"text": "Broken.otf"})}
    )
    with pytest.raises(StyleError, match=r"Broken\.otf cannot be read as a font"):
        Page(1920, 1080, broken).face("text", 20).width("a")
    (tmp_path / "Outside.otf").write_bytes(b"")
    outside = broken.model_copy(
        update={"fonts": style.fonts.model_copy(update={"text": "../Outside.otf"})}
    )
    with pytest.raises(StyleError, match="no font file"):
        Page(1920, 1080, outside).face("text", 20)


def _own_font(folder: Path, content: bytes, name: str = "Own.ttf") -> Page:
    style = load_style("rule")
    (folder / "rule").mkdir(exist_ok=True)
    (folder / "rule" / name).write_bytes(content)
    fonts = style.fonts.model_copy(update={"text": name})
    return Page(1920, 1080, style.model_copy(update={"root": folder, "fonts": fonts}))


def _plain_font() -> bytes:
    return (Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf").read_bytes()


@pytest.mark.parametrize(
    "what", ["empty", "words", "head", "half", "other ending", "huge", "noise"]
)
def test_a_file_that_is_no_font_is_told(tmp_path: Path, what: str) -> None:
    """Empty, cut, of another kind, far too large, or damaged anywhere: one clear error."""
    whole = _plain_font()
    content = {"empty": b"", "words": b"a" * 5000, "head": whole[:100], "half": whole[:9000]}
    page = _own_font(tmp_path, content.get(what, whole), f"{what.replace(' ', '')}.ttf")
    file = tmp_path / "rule" / f"{what}.ttf"
    if what == "huge":
        os.truncate(file, 60_000_000)  # a hole, no data
    elif what == "noise":
        file.write_bytes(whole[:12] + np.random.default_rng(3).bytes(50_000))
    elif what == "other ending":
        page = _own_font(tmp_path, whole, "font.pfb")
    with pytest.raises(StyleError) as caught:
        page.face("text", 20).width("Alder")
    assert caught.value.code == "bad-font"
    assert page.face("strong", 20).width("Alder") > 0


def test_glyphs_that_no_memory_holds_are_told(tmp_path: Path) -> None:
    """A font says itself how large an em is (OpenType, 'head', unitsPerEm, 16 at the least)."""
    font = TTFont(io.BytesIO(_plain_font()))
    font["head"].unitsPerEm = 16
    stored = io.BytesIO()
    font.save(stored)
    page = _own_font(tmp_path, stored.getvalue())
    with pytest.raises(StyleError, match="more than 20 times") as caught:
        page.face("text", 60).layer("Alder", 0, 0, INK)
    assert caught.value.code == "bad-font"
