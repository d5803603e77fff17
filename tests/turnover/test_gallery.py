"""The gallery: every kind in every style and shape, and the README's pictures of them."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from overlays.errors import RenderError
from overlays.kinds.registry import kinds
from overlays.model.result import Results
from overlays.style.house import style_names
from overlays.turnover import gallery
from overlays.turnover.gallery import STATES, draw_gallery, examples, sample, specimens
from tests.golden.pictures import compare
from tests.golden.readme import KINDS, STYLES, path_of, shown

SMALL = ((320, 180), (180, 320))


@pytest.fixture(scope="module")
def results() -> Results:
    return sample()


def test_every_kind_has_an_example() -> None:
    """A kind without a cue in overlays/kinds/examples would be missing from the gallery."""
    assert list(examples()) == list(kinds())


def test_every_kind_stands_in_every_style_and_shape(results: Results) -> None:
    """Specimens are the product of kinds, styles and shapes, each as long as it wants to be."""
    found = list(specimens(results, shapes=SMALL))
    assert len(found) == len({item.name for item in found})
    assert len(found) == len(kinds()) * len(style_names()) * len(SMALL)
    for item in found:
        wanted = kinds()[item.kind].natural_s(item.content)
        assert item.stage.frames / item.stage.rate == pytest.approx(wanted, abs=0.02)


def test_a_gallery_holds_pictures_films_and_a_contact_sheet(
    results: Results, tmp_path: Path
) -> None:
    """Three states of each overlay, a film of each wide one, one sheet of all; told as drawn."""
    told: list[tuple[int, int]] = []
    written = draw_gallery(
        tmp_path / "out",
        results=results,
        styles=["rule"],
        shapes=SMALL,
        workers=1,
        progress=lambda done, total, _: told.append((done, total)),
    )
    names = {path.name for path in (tmp_path / "out").iterdir()}
    expected = {f"{kind}_rule.mp4" for kind in kinds()} | {"contact_sheet.png"}
    for kind in kinds():
        for width, height in SMALL:
            expected |= {f"{kind}_rule_{width}x{height}_{state}.png" for state in STATES}
    assert names == expected
    assert written == len(expected)
    assert told[-1] == (len(kinds()) * len(SMALL),) * 2
    with Image.open(tmp_path / "out" / "contact_sheet.png") as sheet:
        assert sheet.height > 270 * len(kinds())
        # Rows are told apart by more than their ground.
        assert len(np.unique(np.asarray(sheet)[::7, ::7].reshape(-1, 3), axis=0)) > 50
    with av.open(str(tmp_path / "out" / "lower_third_rule.mp4")) as film:
        stream = film.streams.video[0]
        assert (stream.width, stream.height) == (160, 90)


@pytest.mark.parametrize("state", STATES)
def test_states_show_more_and_more(results: Results, state: str) -> None:
    """Something is seen at the first frame, and the last state is not the first."""
    (item,) = (
        found
        for found in specimens(results, styles=["rule"], shapes=SMALL[:1])
        if found.kind == "lower_third"
    )
    seen = int((item.pixels(state)[..., 3] > 0).sum())
    assert seen > 0
    assert (seen < int((item.pixels("last")[..., 3] > 0).sum())) == (state == "first")


def test_without_the_demo_session_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """An installation without the demo is told in one error."""
    monkeypatch.setattr(gallery, "_DEMOS", (Path("nowhere"),))
    with pytest.raises(RenderError, match="demo session is not there") as caught:
        sample()
    assert caught.value.code == "no-demo"


def test_the_readme_shows_what_is_drawn_today(results: Results) -> None:
    """The pictures under styles/ are those of the gallery, within what 256 colours cost."""
    assert {path_of(item) for item in shown(results)} == set(STYLES.glob("*/*.png"))
    for item in shown(results):
        with Image.open(path_of(item)) as picture:
            stored = np.asarray(picture.convert("RGBA"))
        differs = compare(item.pixels("last"), stored, mean_codes=2.0)
        assert not differs, f"{path_of(item).name}: {differs}; python -m tests.golden.readme"


def test_the_readmes_pictures_are_small_and_shown() -> None:
    """Together they are below a megabyte, and the README shows every one."""
    pictures = sorted(STYLES.glob("*/*.png"))
    assert len(pictures) == len(KINDS) * len(list(STYLES.glob("*/style.toml")))
    assert sum(path.stat().st_size for path in pictures) < 1_000_000
    readme = (STYLES.parent / "README.md").read_text(encoding="utf-8")
    for path in pictures:
        assert path.relative_to(STYLES.parent).as_posix() in readme
