"""Lower third: the card says what was measured, and its scale is true."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from overlays.draw.canvas import draw_alone
from overlays.errors import OutlineError
from overlays.kinds.lower_third import LowerThird, LowerThirdContent, LowerThirdScene
from overlays.kinds.registry import build
from tests.kinds.conftest import EXAMPLES, Bench, content_of, cue, stage
from tests.kinds.pictured import COLOURS, found, save_cut_out, with_pictures


def content_for(bench: Bench, **options: object) -> LowerThirdContent:
    content = content_of(bench.results, "lower_third", **options)
    assert isinstance(content, LowerThirdContent)
    return content


def test_the_card_shows_figures_with_unit_and_what_is_missing(bench: Bench) -> None:
    """Figures come as written with their unit; fewer repeats than planned are said beside them."""
    content = content_for(bench, entry="dune", figures=["mean"])
    (shown,) = content.shown
    assert (shown.text, shown.unit, shown.note) == ("-53.7", "N·m", "2 of 3 runs")
    assert LowerThird.describe(content) == "Dune, ceramic fleece. cold stop -53.7 N·m."


def test_the_claim_scale_is_true(bench: Bench) -> None:
    """The bar is as long, against the rule of what is claimed, as the figure says."""
    content = content_for(bench, **EXAMPLES["lower_third"])
    for share in (0.94, 1.08, 0.02):
        shown = (content.shown[0], replace(content.shown[1], claim_share=share))
        scene = LowerThirdScene(replace(content, shown=shown), stage(1920, 1080), bench.style)
        parts, bar = scene._parts[1]
        assert bar is not None
        # The rule lies right under the bar and begins with it.
        (rule,) = [
            part for part in parts
            if part.top == bar.covers.bottom and part.left == bar.left and part.patch.height > 10
            and (part.patch.pixels[..., 3] == 255).all()
        ]  # fmt: skip
        assert bar.patch.width / rule.patch.width == pytest.approx(share, abs=0.006)


def test_a_missing_attribute_is_named(bench: Bench) -> None:
    """An attribute the entry has not is an error that says which there are."""
    overlay = build(cue("lower_third", entry="basalt", attributes=["price"]), bench.results.session)
    with pytest.raises(OutlineError, match="'basalt' has no attribute 'price'"):
        overlay.content(bench.results)


def test_a_figure_the_entry_has_not_is_named(bench: Bench) -> None:
    """A figure that this entry does not have is an error, not a blank."""
    overlay = build(cue("lower_third", entry="dune", figures=["kept"]), bench.results.session)
    with pytest.raises(OutlineError, match="no figure 'kept' of 'dune'"):
        overlay.content(bench.results)


@pytest.mark.parametrize("shape", [(1920, 1080), (1080, 1920), (1080, 1080)])
def test_a_long_name_is_shortened_not_clipped(bench: Bench, shape: tuple[int, int]) -> None:
    """A name too long for the card ends in an ellipsis, inside the panel."""
    content = content_for(bench, **EXAMPLES["lower_third"])
    long = replace(content, name="A name that goes on and on " * 12)
    scene = LowerThirdScene(long, stage(*shape), bench.style)
    assert scene._rect.right <= scene._page.graphics.right
    right = max(layer.covers.right for layer in scene._plate[2:])
    assert right <= scene._rect.right - scene._pad
    assert draw_alone(scene, 200)[..., 3].any()


def test_a_card_without_figures_is_a_name(bench: Bench) -> None:
    """With neither figures nor note the card is just the name."""
    content = content_for(bench, entry="cobble")
    scene = LowerThirdScene(content, stage(1920, 1080), bench.style)
    assert len(scene._parts) == 0
    assert np.count_nonzero(draw_alone(scene, 299)[..., 3]) > 10_000


@pytest.mark.parametrize(
    "shape", [(1920, 1080), (1080, 1920), (1080, 1080), (853, 481), (720, 160), (160, 720)]
)
@pytest.mark.parametrize("size", [(400, 300), (100, 900), (1600, 200)])
def test_a_picture_stands_beside_the_name_on_the_panel(
    bench: Bench, tmp_path: Path, shape: tuple[int, int], size: tuple[int, int]
) -> None:
    """Whatever its proportions it lies inside the panel, left of the name and covering no text."""
    save_cut_out(tmp_path / "alder.png", COLOURS["alder"], size)
    results = with_pictures(bench.results, tmp_path, alder="alder.png")
    content = content_of(results, "lower_third", **EXAMPLES["lower_third"])
    assert isinstance(content, LowerThirdContent)
    scene = LowerThirdScene(content, stage(*shape), bench.style)
    seen = found(draw_alone(scene, 299), "alder")
    assert not seen.empty
    picture = scene._plate[2].covers
    assert picture.meet(seen) == seen
    assert picture.meet(scene._rect) == picture
    texts = [
        *scene._plate[3:],
        *(layer for layers, _ in scene._parts for layer in layers if layer.patch.written),
    ]
    assert all(layer.covers.meet(picture).empty for layer in texts)
    assert picture.right <= min(layer.covers.left for layer in scene._plate[3:])


def test_without_a_picture_the_card_is_as_it_was(bench: Bench, tmp_path: Path) -> None:
    """A picture of somebody else changes nothing on this card."""
    save_cut_out(tmp_path / "basalt.png", COLOURS["basalt"])
    results = with_pictures(bench.results, tmp_path, basalt="basalt.png")
    before, after = (
        LowerThirdScene(content_for(replace(bench, results=item), **EXAMPLES["lower_third"]),
                        stage(480, 270), bench.style)
        for item in (bench.results, results)
    )  # fmt: skip
    np.testing.assert_array_equal(draw_alone(before, 200), draw_alone(after, 200))
