"""Picture strips kept from one run to the next."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from overlays.render.batch import Rendered
from overlays.turnover.kept_strips import STRIPS_FILE, KeptStrips
from overlays.turnover.strip import Picture
from tests.turnover.building import NON_DROP_25, clip

PICTURES = (
    Picture(4, True, "data:image/webp;base64,AAAA", 480, 270),
    Picture(0, False, "data:image/webp;base64,BBBB", 100, 60),
)
FRAMES = (0, 4)


@pytest.fixture
def card() -> Rendered:
    """Return a rendered clip with a key."""
    made = clip("card", 250, 20, NON_DROP_25)
    return Rendered(made, Path("card.mov"), "reused", (), "0" * 64, "a" * 64)


def _keep(folder: Path, card: Rendered) -> None:
    kept = KeptStrips(folder)
    assert kept.get(card, FRAMES) is None
    kept.put(card, FRAMES, PICTURES)
    kept.save()


def test_a_strip_is_had_again_for_the_same_picture(tmp_path: Path, card: Rendered) -> None:
    """The clip may have moved on the timeline: its key is what it shows."""
    _keep(tmp_path, card)
    moved = replace(card, clip=replace(card.clip, first_frame=999), action="re-stamped")
    assert KeptStrips(tmp_path).get(moved, FRAMES) == PICTURES


def test_other_pictures_frames_or_making_are_drawn_anew(
    tmp_path: Path, card: Rendered, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another key, other frames, or another way of making strips find nothing."""
    _keep(tmp_path, card)
    assert KeptStrips(tmp_path).get(replace(card, key="b" * 64), FRAMES) is None
    assert KeptStrips(tmp_path).get(card, (0, 3, 4)) is None
    monkeypatch.setattr("overlays.turnover.kept_strips.source_digest", "{} another way".format)
    assert KeptStrips(tmp_path).get(card, FRAMES) is None


def test_a_clip_nobody_knows_the_key_of_is_not_kept(tmp_path: Path, card: Rendered) -> None:
    """It could be anything."""
    kept = KeptStrips(tmp_path)
    kept.put(replace(card, key=""), FRAMES, PICTURES)
    kept.save()
    assert not (tmp_path / STRIPS_FILE).exists()


def test_what_was_not_asked_for_is_dropped(tmp_path: Path, card: Rendered) -> None:
    """The file does not grow with every change."""
    _keep(tmp_path, card)
    kept = KeptStrips(tmp_path)
    kept.put(replace(card, key="b" * 64), FRAMES, PICTURES[:1])
    kept.save()
    assert KeptStrips(tmp_path).get(card, FRAMES) is None
    assert KeptStrips(tmp_path).get(replace(card, key="b" * 64), FRAMES) == PICTURES[:1]


def test_nothing_new_writes_nothing(tmp_path: Path, card: Rendered) -> None:
    """The file is not touched."""
    _keep(tmp_path, card)
    written = (tmp_path / STRIPS_FILE).stat().st_mtime_ns
    kept = KeptStrips(tmp_path)
    kept.get(card, FRAMES)
    kept.save()
    assert (tmp_path / STRIPS_FILE).stat().st_mtime_ns == written


@pytest.mark.parametrize("spoilt", ["", "{", "[]", '{"x": 1}', "script"])
def test_a_damaged_or_tampered_file_counts_as_empty(
    tmp_path: Path, card: Rendered, spoilt: str
) -> None:
    """Nothing but pictures may get into the review page this way."""
    _keep(tmp_path, card)
    file = tmp_path / STRIPS_FILE
    if spoilt == "script":
        found = json.loads(file.read_text())
        next(iter(found.values()))[0]["url"] = "javascript:alert(1)"
        spoilt = json.dumps(found)
    file.write_text(spoilt)
    assert KeptStrips(tmp_path).get(card, FRAMES) is None
