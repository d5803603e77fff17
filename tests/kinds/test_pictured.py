"""Pictures a session declares: read by whoever shows them, and told with their line if broken."""

from __future__ import annotations

import pickle
from pathlib import Path

import numpy as np
import pytest

from overlays.draw.picture import Picture
from overlays.errors import SessionError
from overlays.kinds._pictured import (
    BOX_HEIGHT,
    BOX_WIDTH,
    entry_picture,
    logo,
    picture_doubts,
    pictures_declared,
    session_picture,
)
from tests.kinds.conftest import Bench
from tests.kinds.pictured import COLOURS, save_cut_out, with_pictures


def test_nothing_declared_is_nothing_shown(bench: Bench) -> None:
    """Without pictures there are none, and no file is looked for."""
    assert pictures_declared(bench.results.session) == ()
    assert entry_picture(bench.results, "alder") is None
    assert logo(bench.results) is None


def test_pictures_are_those_of_the_session(bench: Bench, tmp_path: Path) -> None:
    """An entry's picture and the logo are the files named, and travel to a worker."""
    for name in ("alder", "logo"):
        save_cut_out(tmp_path / "pictures" / f"{name}.png", COLOURS[name])
    results = with_pictures(
        bench.results, tmp_path, alder="pictures/alder.png", logo="pictures/logo.png"
    )
    assert pictures_declared(results.session) == (
        ("episode", "logo"), ("entries", "alder", "picture"),
    )  # fmt: skip
    picture, mark = entry_picture(results, "alder"), logo(results)
    assert picture is not None
    assert mark is not None
    assert tuple(picture.pixels[150, 200]) == (*COLOURS["alder"], 255)
    assert tuple(mark.pixels[150, 200]) == (*COLOURS["logo"], 255)
    again = pickle.loads(pickle.dumps(picture))  # noqa: S301 (made in this very test)
    assert again == picture
    np.testing.assert_array_equal(again.pixels, picture.pixels)


def test_a_missing_picture_is_told_with_its_line(bench: Bench, tmp_path: Path) -> None:
    """The error names session.toml, the line, the field and the file."""
    results = with_pictures(bench.results, tmp_path, basalt="pictures/basalt.png")
    with pytest.raises(SessionError) as caught:
        entry_picture(results, "basalt")
    error = caught.value
    assert (error.file, error.line, error.field) == ("session.toml", 21, "entries.basalt.picture")
    assert (error.code, "'pictures/basalt.png'" in error.message) == ("missing-picture", True)


def test_a_picture_outside_the_session_is_never_opened(bench: Bench, tmp_path: Path) -> None:
    """A link that leads out of the session's folder is refused."""
    save_cut_out(tmp_path / "secret.png", COLOURS["alder"])
    folder = tmp_path / "session"
    folder.mkdir()
    (folder / "alder.png").symlink_to(tmp_path / "secret.png")
    results = with_pictures(bench.results, folder, alder="alder.png")
    with pytest.raises(SessionError) as caught:
        session_picture(results.session, "entries", "alder", "picture")
    assert caught.value.code == "path-leaves-session"


@pytest.mark.parametrize(
    ("size", "canvas", "codes"),
    [
        ((BOX_WIDTH, BOX_HEIGHT), (1920, 1080), []),
        ((160, 20), (1920, 1080), []),
        ((159, 20), (1920, 1080), ["small-picture"]),
        ((20, 106), (1920, 1080), ["small-picture"]),
        ((200, 100), (3840, 2160), ["small-picture"]),
        ((200, 100), (1080, 1920), []),
    ],
)
def test_a_picture_shown_smaller_than_its_room_is_told(
    size: tuple[int, int], canvas: tuple[int, int], codes: list[str]
) -> None:
    """One and a half times as large it still has to reach a side of its box, on this canvas."""
    picture = Picture("x.png", "", size, np.zeros((1, 1, 4), np.uint8))
    assert [code for code, _, _ in picture_doubts(picture, canvas)] == codes


def test_what_was_assumed_of_a_picture_is_told() -> None:
    """A note of the reader is a doubt, with the file's name."""
    picture = Picture("x.png", "", (900, 900), np.zeros((1, 1, 4), np.uint8), ("is odd.",))
    assert picture_doubts(picture, (1920, 1080)) == (
        ("picture-as-read", "'x.png' is odd.", "Look at it in a preview."),
    )
