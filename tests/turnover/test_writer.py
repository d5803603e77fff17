"""A turnover written whole."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import opentimelineio as otio
import pytest

from overlays.checks.findings import Finding
from overlays.errors import Problems, TurnoverError, WorkError
from overlays.timecode import Timebase
from overlays.turnover import writer
from overlays.turnover.edl import read_edl
from overlays.turnover.manifest import Manifest
from tests.turnover.building import ALL_TIMEBASES, NON_DROP_25, Square, clip, episode, render

Turnover = Callable[..., Manifest]
FILES = {
    "beats.csv", "captions.vtt", "chapters.txt", "clips", "descriptions.vtt", "figures.csv",
    "manifest.json", "results.txt", "review.html", "standings.csv", "timeline.edl",
    "timeline.otio", "timeline_2.edl",
}  # fmt: skip


def _names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_everything_of_the_contract_is_there(tmp_path: Path, turnover: Turnover) -> None:
    """The agreed files, one edit list more for the overlap, and nothing else."""
    turnover(tmp_path / "out")
    assert _names(tmp_path / "out") == FILES
    assert _names(tmp_path / "out" / "clips") == {"first.mov", "second.mov"}


@pytest.mark.parametrize("timebase", ALL_TIMEBASES, ids=str)
def test_all_lists_agree_on_every_place(
    tmp_path: Path, turnover: Turnover, timebase: Timebase
) -> None:
    """At every rate: manifest, OpenTimelineIO and edit lists put a clip on the same frame."""
    out = tmp_path / "out"
    turnover(out, timebase=timebase)
    found = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    claimed = {clip["cue"]: clip["first_frame"] for clip in found["clips"]}
    start = timebase.frame("10:00:00:00", either_mark=True)
    assert claimed == {"first": start + 20, "second": start + 35}
    read = otio.adapters.read_from_file(str(out / "timeline.otio"))
    assert {
        item.name: (read.global_start_time + item.transformed_time_range(
            item.trimmed_range(), read.tracks
        ).start_time).value
        for item in read.find_clips()
    } == claimed  # fmt: skip
    problems = Problems()
    events = [
        event
        for name in ("timeline.edl", "timeline_2.edl")
        for event in read_edl((out / name).read_text(), timebase.rate, problems).events
    ]
    assert problems.found == []
    assert [event.record_in for event in events] == list(claimed.values())


def test_writing_it_again_gives_the_same_bytes(tmp_path: Path, turnover: Turnover) -> None:
    """Same inputs, same turnover."""
    turnover(tmp_path / "out")
    before = {p: p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file()}
    turnover(tmp_path / "out")
    assert {p: p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file()} == before


def test_what_an_earlier_turnover_had_is_removed(tmp_path: Path, turnover: Turnover) -> None:
    """A cue that is gone takes its clip and its edit list along; strangers stay."""
    out = tmp_path / "out"
    turnover(out)
    (out / "clips" / "mine.mov").write_bytes(b"")
    (out / "notes.txt").write_text("")
    turnover(out, cues=("first",))
    assert _names(out / "clips") == {"first.mov", "mine.mov"}
    assert _names(out) == (FILES | {"notes.txt"}) - {"timeline_2.edl"}


def test_a_folder_of_pictures_goes_too(tmp_path: Path, turnover: Turnover) -> None:
    """A clip of numbered files is removed as a whole."""
    out = tmp_path / "out"
    turnover(out, codec="png")
    turnover(out, codec="png", cues=("first",))
    assert _names(out / "clips") == {"first"}


def test_what_cannot_be_removed_is_named(
    tmp_path: Path, turnover: Turnover, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A clip that another program holds open is one clear error."""
    out = tmp_path / "out"
    turnover(out)

    def held(path: Path) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(writer, "digest", held)
    with pytest.raises(TurnoverError, match=r"second\.mov.* cannot be removed"):
        turnover(out, cues=("first",))


def test_a_damaged_manifest_is_replaced(tmp_path: Path, turnover: Turnover) -> None:
    """What a manifest nobody can read listed stays where it is."""
    out = tmp_path / "out"
    turnover(out)
    (out / "manifest.json").write_text("{", encoding="utf-8")
    made = turnover(out, cues=("first",))
    assert [clip.cue for clip in made.clips] == ["first"]
    assert _names(out / "clips") == {"first.mov", "second.mov"}


def test_a_clip_somebody_worked_on_is_not_removed(tmp_path: Path, turnover: Turnover) -> None:
    """Only the very file that was rendered is removed."""
    out = tmp_path / "out"
    turnover(out)
    (out / "clips" / "second.mov").write_bytes(b"graded by hand")
    turnover(out, cues=("first",))
    assert (out / "clips" / "second.mov").read_bytes() == b"graded by hand"


def test_a_manifest_cannot_reach_out_of_its_folder(tmp_path: Path, turnover: Turnover) -> None:
    """A manifest that names files elsewhere removes none of them."""
    out = tmp_path / "out"
    turnover(out)
    victim = tmp_path / "victim.mov"
    victim.write_bytes((out / "clips" / "second.mov").read_bytes())
    found = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    for path in ("clips/../../victim.mov", "../victim.mov", str(victim), "clips/..", ""):
        found["clips"][1]["file"] = path
        (out / "manifest.json").write_text(json.dumps(found), encoding="utf-8")
        turnover(out, cues=("first",))
        assert victim.exists()


def test_a_missing_clip_leaves_the_former_turnover(tmp_path: Path, turnover: Turnover) -> None:
    """Nothing is written before everything that goes in is known to be there."""
    out = tmp_path / "out"
    turnover(out)
    before = (out / "manifest.json").read_bytes()
    start = 10 * 3600 * 25
    (gone,) = render(tmp_path, [clip("gone", start + 20, 20, NON_DROP_25)], "prores4444")
    gone.path.unlink()
    with pytest.raises(TurnoverError, match=r"gone\.mov"):
        writer.write_turnover(
            out, episode(tmp_path), [gone], codec="prores4444", problems=Problems()
        )
    assert (out / "manifest.json").read_bytes() == before


def test_a_folder_that_is_a_file_is_one_clear_error(tmp_path: Path) -> None:
    """The target is named."""
    (tmp_path / "out").write_text("")
    with pytest.raises(WorkError, match="cannot be written"):
        writer.write_turnover(
            tmp_path / "out", episode(tmp_path), [], codec="qtrle", problems=Problems()
        )


def test_tables_hold_figures_and_standings(tmp_path: Path, turnover: Turnover) -> None:
    """Both tables are CSV with a header; missing values are no zeros."""
    turnover(tmp_path / "out")
    with (tmp_path / "out" / "figures.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [(row["figure"], row["entry"]) for row in rows] == [("most", "brook"), ("most", "weir")]
    assert rows[0]["value"] == "12.5"
    assert "0" not in rows[1]["value"]
    with (tmp_path / "out" / "standings.csv").open(encoding="utf-8", newline="") as stream:
        assert len(list(csv.DictReader(stream))) == 3


def test_the_review_page_shows_findings_with_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A finding's frame is among the strip's pictures; warnings met on the way are listed."""
    monkeypatch.setattr(writer, "lay_out_clip", Square)
    start = 10 * 3600 * 25
    made = clip("first", start + 20, 20, NON_DROP_25)
    rendered = render(tmp_path, [made], "prores4444")
    problems = Problems()
    problems.warn("odd", "Something is odd.", remedy="Look.", file="outline.md", line=7)
    findings = [
        Finding("contrast", "fail", "Too faint.", "Darken.", cue="first", frame=12 + 3),
        Finding("flashing", "pass", "Nothing flashes.", cue="first"),
        Finding("levels", "pass", "Nothing is too bright.", cue="first"),
    ]
    writer.write_turnover(
        tmp_path,
        episode(tmp_path),
        rendered,
        codec="prores4444",
        problems=problems,
        findings=findings,
    )
    text = (tmp_path / "review.html").read_text(encoding="utf-8")
    assert "Too faint." in text
    assert "Something is odd." in text
    assert "Flashing passes: Nothing flashes." in text
    assert "Nothing is too bright." not in text
    # The whole, five usual pictures, and the finding's frame: 10:00:00:20 and three frames.
    assert text.count("<img") == 7
    assert NON_DROP_25.label(start + 23) in text
