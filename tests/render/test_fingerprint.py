"""Fingerprints: what a picture depends on, and the names of what changed."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from overlays.draw.text import font_files
from overlays.model.clip import Clip
from overlays.render import fingerprint as module
from overlays.render.fingerprint import digest_of, fingerprint, reasons
from overlays.style.house import load_style
from tests.kinds.pictured import save_cut_out
from tests.render.planning import edit, plan


@dataclass(frozen=True)
class _Shape:
    name: str
    sides: tuple[float, ...]


def _taken(clip: Clip) -> dict[str, str]:
    return fingerprint(clip, codec="prores4444", styles={})


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (_Shape("a", (1.0, 2.0)), _Shape("a", (1.0, 2.5))),
        (("ab", "c"), ("a", "bc")),
        ((("a",), "b"), (("a", "b"),)),
        (1, 1.0),
        (True, 1),
        (None, "None"),
        (Fraction(1, 2), 0.5),
        (np.array([1.0, 2.0]), np.array([1.0, 2.0], np.float32)),
        (np.zeros((2, 3)), np.zeros((3, 2))),
        ({"a": 1, "b": 2}, {"a": 2, "b": 1}),
    ],
)
def test_different_content_has_different_digests(one: object, other: object) -> None:
    """Values, types, shapes and nesting all count."""
    assert digest_of(one) != digest_of(other)


def test_equal_content_has_equal_digests() -> None:
    """Order of a mapping, and where an array lies in memory, do not count."""
    assert digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1})
    array = np.arange(12.0).reshape(3, 4)
    assert digest_of(array[:, ::2]) == digest_of(array[:, ::2].copy())
    assert digest_of(_Shape("a", (1.0,))) == digest_of(_Shape("a", (1.0,)))


def test_digests_are_the_same_in_every_process() -> None:
    """Nothing in them depends on a process's random hash seed."""
    value = "({'b': 1, 'a': (2.5, 'x', None)}, frozenset())[0]"
    code = f"from overlays.render.fingerprint import digest_of; print(digest_of({value}))"
    root = Path(__file__).parents[2]
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert found.stdout.strip() == digest_of({"b": 1, "a": (2.5, "x", None)})


def test_content_that_is_not_plain_data_is_refused() -> None:
    """An object that says nothing about itself would make the cache lie."""
    with pytest.raises(TypeError, match="not plain data"):
        digest_of({"a": object()})
    with pytest.raises(TypeError, match="not plain data"):
        digest_of({1, 2})


def test_planning_again_gives_the_same_fingerprints(session: Path) -> None:
    """Nothing changed, nothing differs."""
    first, second = plan(session), plan(session)
    assert [_taken(clip) for clip in first] == [_taken(clip) for clip in second]


def test_where_a_clip_lies_does_not_count(small_clips: tuple[Clip, ...]) -> None:
    """A clip that starts later, in another beat, has the same picture."""
    clip = small_clips[0]
    moved = replace(clip, first_frame=clip.first_frame + 100, beat="elsewhere")
    assert _taken(moved) == _taken(clip)


def _stage(**changes: object) -> Mapping[str, object]:
    return changes


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        (_stage(frames=99), "length"),
        (_stage(width=272), "canvas"),
        (_stage(rate=Fraction(24)), "rate"),
        (_stage(decimal_mark="."), "decimal mark"),
        (_stage(style="paper"), "style"),
        (_stage(place="head"), "place"),
        (_stage(leave=9), "leaving"),
        (_stage(motion="reduced"), "motion"),
    ],
)
def test_a_change_of_the_stage_is_named(
    monkeypatch: pytest.MonkeyPatch,
    small_clips: tuple[Clip, ...],
    changes: Mapping[str, object],
    why: str,
) -> None:
    """Each of these asks for another picture, and says which it was."""
    monkeypatch.setattr(module, "_style_digest", lambda name, root: f"{name} in {root}")
    clip = small_clips[0]
    other = replace(clip, stage=replace(clip.stage, **changes))  # type: ignore[arg-type] # any
    assert reasons(_taken(clip), _taken(other)) == (why,)


def test_a_change_of_handles_or_codec_is_named(small_clips: tuple[Clip, ...]) -> None:
    """So do these."""
    clip = small_clips[0]
    before = _taken(clip)
    assert reasons(before, _taken(replace(clip, handles=(5, 9)))) == ("handles",)
    assert reasons(before, fingerprint(clip, codec="ffv1", styles={})) == ("codec",)


def test_measured_values_are_told_from_words(session: Path) -> None:
    """A log edited is 'data', a title written into the cue is 'cue'; each names its fields."""
    before = {clip.cue: _taken(clip) for clip in plan(session)}
    other = (session / "logs" / "weir_open_1.csv").read_bytes()
    for repeat in (1, 2):
        (session / "logs" / f"brook_open_{repeat}.csv").write_bytes(other)
    edit(session / "outline.md", 'gap_at = "2.5 s"', 'gap_at = "2.5 s"\ntitle = "Both open"')
    after = {clip.cue: _taken(clip) for clip in plan(session)}
    (cue, data) = reasons(before["open"], after["open"])
    assert cue == "cue (title)"
    assert data.startswith("data (")
    assert "lines" in data
    assert reasons(before["weir-card"], after["weir-card"]) == ()


def test_other_bytes_of_a_picture_are_another_picture(session: Path) -> None:
    """A picture drawn over, under the same name, changes the clips that show it and no other."""
    file = session / "pictures" / "weir.png"
    save_cut_out(file, (200, 100, 50))
    edit(
        session / "session.toml", 'short = "Weir"', 'short = "Weir"\npicture = "pictures/weir.png"'
    )
    before = {clip.cue: _taken(clip) for clip in plan(session)}
    assert before == {clip.cue: _taken(clip) for clip in plan(session)}
    save_cut_out(file, (200, 100, 51))
    after = {clip.cue: _taken(clip) for clip in plan(session)}
    told = {cue: reasons(before[cue], after[cue]) for cue in before}
    assert told.pop("weir-card") == ("data (picture)",)
    assert set(told.values()) == {()}


def test_a_styles_tokens_and_fonts_count(session: Path) -> None:
    """Another token, or other bytes in a font it is set in, is another style; a remark is not."""
    styles = session / "styles" / "mine"
    styles.mkdir(parents=True)
    shipped = load_style("rule")
    (styles / "style.toml").write_bytes((shipped.folder / "style.toml").read_bytes())
    font = next(file for file in font_files(shipped) if file.name == shipped.fonts.text)
    (styles / font.name).write_bytes(font.read_bytes())
    edit(session / "session.toml", 'title = "Two nozzles"', 'title = "Two nozzles"\nstyle = "mine"')
    (clip, *_) = plan(session)
    first = _taken(clip)
    edit(styles / "style.toml", "[motion]", "# a remark\n[motion]")
    (styles / "notes.txt").write_text("not a part of the look")
    assert _taken(clip) == first
    (styles / font.name).write_bytes(font.read_bytes() + b"0")
    with_font = _taken(clip)
    assert reasons(first, with_font) == ("style",)
    edit(styles / "style.toml", "panel = 0.45", "panel = 0.55")
    assert reasons(with_font, _taken(clip)) == ("style",)
