"""The tall picture of all runs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from overlays.errors import RenderError
from overlays.turnover.look.lettering import legible
from overlays.turnover.look.paper import PAPER, Paper
from overlays.turnover.look.sheet import write_run_look_sheet
from overlays.turnover.look.story import Story


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[tuple[float, float, str]]:
    """Return the list that every text set on paper is added to, with its place."""
    texts: list[tuple[float, float, str]] = []
    plain = Paper.text

    def text(
        self: Paper, x: float, baseline: float, text: str, *more: object, **told: object
    ) -> None:
        texts.append((x, baseline, text))
        plain(self, x, baseline, text, *more, **told)  # type: ignore[arg-type]

    monkeypatch.setattr(Paper, "text", text)
    return texts


def test_everything_told_is_on_the_sheet(
    story: Story, tmp_path: Path, written: list[tuple[float, float, str]]
) -> None:
    """Words are broken into lines, so all words of all sentences are looked for."""
    write_run_look_sheet(story, tmp_path / "sheet.png")
    words = {word for _, _, text in written for word in text.split()}
    texts = {text for _, _, text in written}
    for test in story.tests:
        for line in test.lines:
            assert set(line.split()) <= words
        for told in test.places:
            assert (
                f"{story.name_of(told.place).split(', ')[1]} · {story.state_of(told.place)}"
                in texts
            )
            for word in told.words:
                assert set(legible(word.text).split()) <= words
            for row in told.rows if told.place.runs else ():
                assert set(row.cells) <= texts


def test_nothing_is_set_outside_the_sheet(
    story: Story, tmp_path: Path, written: list[tuple[float, float, str]]
) -> None:
    """The margins on all four sides are bare paper, and so is the gutter's middle."""
    target = tmp_path / "sheet.png"
    write_run_look_sheet(story, target)
    with Image.open(target) as image:
        pixels = np.asarray(image.convert("RGB"))
    bare = (pixels == tuple(bytes.fromhex(PAPER[1:]))).all(axis=-1)
    scale = pixels.shape[1] / 1060
    edge = round(20 * scale)
    assert bare[:edge].all()
    assert bare[-edge:].all()
    assert bare[:, :edge].all()
    assert bare[:, -edge:].all()
    assert not bare.all()
    assert max(y for _, y, _ in written) < pixels.shape[0] / scale


def test_a_sheet_that_nobody_could_look_at_is_refused(story: Story, tmp_path: Path) -> None:
    """Hundreds of places make a picture too tall; the page is named as the way out."""
    test = story.tests[0]
    endless = replace(story, tests=(replace(test, places=test.places * 60),))
    with pytest.raises(RenderError) as caught:
        write_run_look_sheet(endless, tmp_path / "sheet.png")
    assert caught.value.code == "too-tall"
    assert ".html" in caught.value.remedy
    assert list(tmp_path.iterdir()) == []
