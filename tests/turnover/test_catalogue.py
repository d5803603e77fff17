"""The catalogue of styles and overlay kinds."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path
from typing import get_args

import pytest

from overlays.kinds.base import Overlay
from overlays.kinds.registry import kinds
from overlays.model.clip import Place
from overlays.style.house import style_names
from overlays.turnover.catalogue import catalogue, kind_title, option_notes, own_options


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_option_is_told_with_what_it_does(kind: str) -> None:
    """The docstring of a kind has a note for each of its options, and for nothing else."""
    notes = option_notes(kinds()[kind])
    assert set(notes) == {option.name for option in own_options(kinds()[kind])}
    assert all(notes.values())
    assert not any("``" in note for note in notes.values())
    assert kind_title(kinds()[kind]) in catalogue()


def test_what_every_kind_may_be_asked_is_told_once() -> None:
    """Common options stand before the kinds, with every place there is; a kind's limits at it."""
    notes = option_notes(Overlay)  # type: ignore[type-abstract]
    assert set(notes) == {option.name for option in fields(Overlay)} == {"place", "leave"}
    text = catalogue()
    common = text.partition("Options of every overlay kind")[2].partition("Overlay kinds")[0]
    assert all(note in common for note in notes.values())
    assert all(f" {place}" in notes["place"] for place in get_args(Place))
    assert text.count(notes["leave"]) == 1
    for name, kind in kinds().items():
        told = text.partition(f"\n  {name}: ")[2]
        told = re.split(r"\n  \w", told)[0]
        if kind.places == Overlay.places:
            assert "    place:" not in told
        else:
            assert f"    place: {', '.join(kind.places) or 'none'}" in told


def test_the_catalogue_lists_styles_and_marks_needed_options(tmp_path: Path) -> None:
    """Styles with their titles, a session's own among them; needed options carry a star."""
    text = catalogue()
    for name in style_names():
        assert f"  {name}" in text
    assert "    entry*: Whose card it is.\n" in text
    assert "    figures: Up to three figures, set large.\n" in text
    own = tmp_path / "styles" / "chalk"
    own.mkdir(parents=True)
    shipped = Path(__file__).resolve().parents[2] / "styles" / "rule" / "style.toml"
    source = shipped.read_text(encoding="utf-8").replace("Machinist's rule", "Chalk on slate")
    (own / "style.toml").write_text(source, encoding="utf-8")
    assert "  chalk  Chalk on slate (dark panels)\n" in catalogue(tmp_path)
    assert "chalk" not in text
