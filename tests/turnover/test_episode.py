"""A whole episode into a folder: checked, told, waived, and nothing done twice."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from overlays.checks.findings import Finding
from overlays.checks.judge_clip import ClipWatch, Judged
from overlays.cli import app
from overlays.errors import Problems, ProblemsFound, RenderError, TurnoverError, WorkError
from overlays.lock import held
from overlays.model.check import CHECKS
from overlays.model.clip import Clip
from overlays.plan import open_episode
from overlays.render.parts import Part, draw_part
from overlays.scoring.review import review_results
from overlays.turnover import episode as module
from overlays.turnover import proof
from overlays.turnover.episode import Made, make_episode
from overlays.turnover.kept_judgements import JUDGED_FILE
from overlays.turnover.verify import verify
from tests.render.planning import edit

MINI = Path(__file__).parents[1] / "data" / "sessions" / "mini"


def small(folder: Path) -> Path:
    """Copy the small session, its canvas a quarter as wide and high."""
    shutil.copytree(MINI, folder)
    edit(folder / "session.toml", "canvas = [1080, 1920]", "canvas = [270, 480]")
    return folder


def make(session: Path, out: Path) -> Made:
    return make_episode(session, out, codec="qtrle", workers=1)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Made]:
    """A session, its turnover, and what was told of it; tests leave all three as they are."""
    folder = tmp_path_factory.mktemp("episode")
    session = small(folder / "session")
    return session, folder / "out", make(session, folder / "out")


@pytest.fixture
def turnover(made: tuple[Path, Path, Made], tmp_path: Path) -> tuple[Path, Path]:
    """Copies of the session and its turnover."""
    session, out, _ = made
    shutil.copytree(session, tmp_path / "session")
    shutil.copytree(out, tmp_path / "out")
    return tmp_path / "session", tmp_path / "out"


def test_an_episode_is_checked_and_proves(made: tuple[Path, Path, Made]) -> None:
    """Every check has had its say on every clip, with cue and timecode; the turnover proves."""
    _, out, episode = made
    for cue in ("open", "weir-card", "brook-score"):
        said = {item.check for item in episode.findings if item.cue == cue}
        assert said >= set(CHECKS) - {"curves", "overlap", "pace"}
    assert not episode.stopped
    cautions = [item for item in episode.findings if item.verdict == "caution"]
    assert {item.check for item in cautions} == {"reading-time"}
    assert all(item.timecode and item.timecode.startswith("10:00:") for item in cautions)
    page = (out / "review.html").read_text(encoding="utf-8")
    assert cautions[0].message in page
    problems = Problems()
    assert verify(out, problems) == episode.manifest
    assert not problems.found


@pytest.mark.parametrize("motion", ["full", "reduced"])
def test_an_episode_whose_overlays_leave_and_stand_elsewhere_proves(
    tmp_path: Path, motion: str
) -> None:
    """Every check passes as ever, the manifest says which leave, and verify finds it so."""
    session = small(tmp_path / "session")
    for cue, more in (
        ("weir-card", 'place = "head"\nleave = true'),
        ("brook-score", "leave = true"),
        ("open", 'place = "middle"'),
    ):
        edit(session / "outline.md", f'id = "{cue}"', f'id = "{cue}"\n{more}')
    edit(session / "session.toml", "handles = [5, 8]", f'handles = [5, 8]\nmotion = "{motion}"')
    episode = make(session, tmp_path / "out")
    assert not episode.stopped
    assert {clip.cue for clip in episode.manifest.clips if clip.leaves} == {
        "weir-card", "brook-score",
    }  # fmt: skip
    problems = Problems()
    assert verify(tmp_path / "out", problems) == episode.manifest
    assert not problems.found


def test_a_second_run_draws_and_checks_nothing(
    turnover: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found is kept beside the clips: the same files to the byte, and no pixel drawn."""
    session, out = turnover
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    monkeypatch.setattr(proof, "ClipWatch", None)
    monkeypatch.setattr(proof, "strip", None)
    again = make(session, out)
    assert {item.action for item in again.rendered} == {"reused"}
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before


def test_findings_lost_are_found_again(
    made: tuple[Path, Path, Made], turnover: tuple[Path, Path]
) -> None:
    """Without the hidden file, clips already whole are checked once more, with the same result."""
    session, out = turnover
    (out / JUDGED_FILE).unlink()
    assert set(make(session, out).findings) == set(made[2].findings)
    assert (out / JUDGED_FILE).exists()


def fails(found: Judged) -> Judged:
    """Let the safe-area check of a clip fail."""
    others = tuple(item for item in found.findings if item.check != "safe-area")
    failure = Finding("safe-area", "fail", "Ink outside.", "Move it.", frame=9)
    return replace(found, findings=(*others, failure))


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every clip fails the check of safe areas."""

    def prove(*told: Any, **more: Any) -> dict[str, Judged]:
        return {cue: fails(found) for cue, found in proof.prove_clips(*told, **more).items()}

    monkeypatch.setattr(module, "prove_clips", prove)


@pytest.mark.usefixtures("failing")
def test_a_failing_check_is_told_and_leaves_with_1_after_all_is_written(
    turnover: tuple[Path, Path],
) -> None:
    """Exit code 1, the finding with its place on standard error, and everything written."""
    session, out = turnover
    (out / "manifest.json").unlink()
    told = CliRunner().invoke(
        app, ["episode", str(session), "--out", str(out), "--codec", "qtrle", "--workers", "1"]
    )
    assert told.exit_code == 1
    assert "error: cue open, frame 9 (10:00:00:14): Ink outside. Move it." in told.stderr
    assert (out / "manifest.json").exists()
    assert "Ink outside." in (out / "review.html").read_text(encoding="utf-8")


@pytest.mark.usefixtures("failing")
def test_a_waiver_lets_it_pass_with_its_reason_on_the_page(turnover: tuple[Path, Path]) -> None:
    """Waived for all, or for one cue; a waiver of something that passes is idle, and told."""
    session, out = turnover
    toml = session / "session.toml"
    plain = toml.read_text(encoding="utf-8")
    waiver = '\n[[waivers]]\ncheck = "{}"\n{}reason = "seen <b>and</b> meant"\n'
    toml.write_text(plain + waiver.format("safe-area", 'cue = "open"\n'), encoding="utf-8")
    one = make(session, out)
    assert {item.cue for item in one.stopped} == {"weir-card", "brook-score"}
    both = waiver.format("safe-area", "") + waiver.format("flashing", "")
    toml.write_text(plain + both, encoding="utf-8")
    every = make(session, out)
    assert not every.stopped
    assert "Waived: seen &lt;b&gt;and" in (out / "review.html").read_text(encoding="utf-8")
    idle = [problem for problem in every.problems.found if problem.code == "idle-waiver"]
    assert [problem.line for problem in idle] == [plain.count("\n") + 7]


def test_what_check_tells_stands_on_the_review_page_too(turnover: tuple[Path, Path]) -> None:
    """Overlays that cover each other, waived here, and a run that was left out, are on the page."""
    session, out = turnover
    edit(session / "outline.md", 'length = "5.2 s"', 'length = "7 s"')
    with (session / "session.toml").open("a", encoding="utf-8") as stream:
        stream.write('\n[[waivers]]\ncheck = "overlap"\nreason = "the card is meant to cover"\n')
    episode = make(session, out)
    (covered,) = [item for item in episode.findings if item.check == "overlap"]
    assert (covered.cue, covered.waived) == ("weir-card", "the card is meant to cover")
    page = (out / "review.html").read_text(encoding="utf-8")
    assert "Waived: the card is meant to cover" in page
    problems = Problems()
    read = open_episode(session, problems)
    assert read is not None
    review_results(read.results, problems)
    assert problems.found
    assert all(escape(problem.message) in page for problem in problems.found)


def test_a_waiver_of_an_unknown_cue_is_an_error(turnover: tuple[Path, Path]) -> None:
    """It would waive nothing, and its author would not know."""
    session, out = turnover
    with (session / "session.toml").open("a", encoding="utf-8") as stream:
        stream.write('\n[[waivers]]\ncheck = "levels"\ncue = "opne"\nreason = "so"\n')
    with pytest.raises(ProblemsFound) as caught:
        make(session, out)
    (problem,) = caught.value.found
    assert (problem.code, problem.remedy) == ("unknown-cue", "Did you mean 'open'?")
    assert problem.line is not None


def test_two_episodes_at_once_into_one_folder(turnover: tuple[Path, Path]) -> None:
    """The second says who is at work there, and touches nothing."""
    session, out = turnover
    before = {path: path.stat().st_mtime_ns for path in out.rglob("*")}
    with held(out, "an episode being made"):
        with pytest.raises(WorkError, match="an episode being made by process"):
            make(session, out)
        (out / ".tracereel.holder").unlink()
    after = {path: path.stat().st_mtime_ns for path in out.rglob("*")}
    assert {path for path in before if before[path] != after.get(path)} <= {out}


def test_what_a_killed_episode_left_is_removed(turnover: tuple[Path, Path]) -> None:
    """Hidden leftovers in the turnover's own folder go, too."""
    session, out = turnover
    left = out / ".tracereel-0123456789ab.part"
    left.mkdir()
    (left / "0.json").write_text("{")
    make(session, out)
    assert not left.exists()


def test_a_clip_that_cannot_be_checked_is_told_and_checked_again_next_time(
    turnover: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing may be assumed of it: it fails, and that is not kept."""
    session, out = turnover
    (out / JUDGED_FILE).unlink()

    def out_of_memory(clip: object, codec: object) -> None:
        raise MemoryError(clip, codec)

    with monkeypatch.context() as patch:
        patch.setattr(proof, "ClipWatch", out_of_memory)
        first = make(session, out)
    assert len([item for item in first.stopped if "memory ran out" in item.message]) == 3
    assert not make(session, out).stopped


def test_a_clip_that_no_memory_holds_is_told_and_the_others_are_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Laying a clip out takes most: where that fails, the clip is named, and the rest is whole."""
    session, out = small(tmp_path / "session"), tmp_path / "out"

    def watch(clip: Clip, codec: str) -> ClipWatch:
        if clip.cue == "open":
            raise MemoryError
        return ClipWatch(clip, codec)

    monkeypatch.setattr(proof, "ClipWatch", watch)
    with pytest.raises(RenderError, match="memory ran out at work on clip 'open'") as caught:
        make(session, out)
    assert caught.value.code == "out-of-memory"
    assert sorted(path.name for path in (out / "clips").glob("*.mov")) == [
        "brook-score.mov",
        "weir-card.mov",
    ]


def test_clips_drawn_in_parts_are_checked_afterwards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A part is not the clip: only the whole file is judged, with the same result."""
    session = small(tmp_path / "session")
    monkeypatch.setattr("overlays.render.parts.LEAST_FRAMES", 40)
    monkeypatch.setattr("overlays.render.batch._FRAMES_A_WORKER", 100)
    made_here = make_episode(session, tmp_path / "out", codec="qtrle", workers=2)
    assert not made_here.stopped
    assert {item.cue for item in made_here.findings} >= {"open", "weir-card", "brook-score"}


def test_a_clip_that_cannot_be_drawn_stops_the_episode(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The others are whole afterwards, and no turnover claims what is not there."""
    session, out = small(tmp_path / "session"), tmp_path / "out"

    def draw(part: Part, *told: Any, **more: Any) -> str:
        if part.clip.cue == "open":
            raise RenderError("found a knot.", code="knot", remedy="Untie it.")
        return draw_part(part, *told, **more)

    monkeypatch.setattr(proof, "draw_part", draw)
    with pytest.raises(RenderError, match="knot"):
        make(session, out)
    assert not (out / "manifest.json").exists()
    assert sorted(path.name for path in (out / "clips").glob("*.mov")) == [
        "brook-score.mov",
        "weir-card.mov",
    ]


def test_a_session_is_no_folder_for_its_turnover(tmp_path: Path) -> None:
    """Captions of the recorded voice would be replaced by the turnover's own, and lost."""
    session = small(tmp_path / "session")
    (session / "captions.vtt").write_text(
        "WEBVTT\n\n00:00:00.400 --> 00:00:03.000\nBrook lets through.\n", encoding="utf-8"
    )
    before = {path: path.stat().st_mtime_ns for path in session.rglob("*")}
    with pytest.raises(TurnoverError, match="is a session's folder") as caught:
        make(session, session)
    assert caught.value.code == "folder-in-use"
    assert {path: path.stat().st_mtime_ns for path in session.rglob("*")} == before


@pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")
def test_a_folder_of_clips_that_is_a_link_is_refused(turnover: tuple[Path, Path]) -> None:
    """A turnover that came along could lead the clips anywhere, and what is there be replaced."""
    session, out = turnover
    elsewhere = out.parent / "elsewhere"
    (out / "clips").rename(elsewhere)
    (out / "clips").symlink_to(elsewhere)
    before = {path: path.stat().st_mtime_ns for path in elsewhere.iterdir()}
    edit(session / "session.toml", 'name = "Brook"', 'name = "Burn"')
    with pytest.raises(TurnoverError) as caught:
        make(session, out)
    assert caught.value.code == "path-leaves-turnover"
    assert {path: path.stat().st_mtime_ns for path in elsewhere.iterdir()} == before
