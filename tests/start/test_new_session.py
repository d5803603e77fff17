"""A folder of logs becomes a session that is in order at once."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.judge_plan import judge_plan
from overlays.errors import Problems, SessionError, WorkError
from overlays.plan import open_episode, plan_episode, review_episode
from overlays.session.reader import read_session
from overlays.start.draft import drafted, session_text
from overlays.start.found import FoundChannel, FoundRun, found_runs, key_from_words
from overlays.start.new_session import new_session

ROOT = Path(__file__).parents[2]
MINI_LOGS = ROOT / "tests" / "data" / "sessions" / "mini" / "logs"
LOG = "time;Kraft [N]\n" + "".join(f"{n / 10};{n}\n" for n in range(40))


def begun(folder: Path, logs: Path) -> Problems:
    problems = Problems()
    new_session(folder, logs, problems, today=date(2026, 5, 6))
    return problems


@pytest.fixture
def logs(tmp_path: Path) -> Callable[..., Path]:
    """Return a folder of the logs named, each with the given text."""

    def make(*names: str, text: str = LOG) -> Path:
        folder = tmp_path / "logs of mine"
        folder.mkdir(exist_ok=True)
        for name in names:
            (folder / name).write_text(text, encoding="utf-8")
        return folder

    return make


def test_what_is_begun_is_in_order_and_plans_its_clips(tmp_path: Path) -> None:
    """The small session's logs: two tests, two entries, two repeats, three clips, no error."""
    made = tmp_path / "two taps"
    assert not begun(made, MINI_LOGS).found
    problems = Problems()
    episode = open_episode(made, problems)
    assert episode is not None
    clips = plan_episode(episode, problems, codec="png")
    review_episode(episode, problems)
    found = judge_plan(episode.results, clips)
    assert not problems.errors
    # There is time to read what is shown, too.
    assert not [finding.message for finding in found if finding.verdict != "pass"]
    assert [clip.kind for clip in clips] == ["curves", "curves", "score_update"]
    spec = episode.results.session.spec
    assert (list(spec.entries), list(spec.tests)) == (["brook", "weir"], ["open", "shut"])
    assert {test.repeats for test in spec.tests.values()} == {2}
    assert "brook makes " in episode.outline.beats[0].narration


def test_there_is_time_to_read_what_is_begun_of_many_tests(tmp_path: Path) -> None:
    """Four tests of four entries, as the demonstration has them."""
    made = tmp_path / "four"
    begun(made, ROOT / "demo_sessions" / "brake_bench" / "logs")
    problems = Problems()
    episode = open_episode(made, problems)
    assert episode is not None
    found = judge_plan(episode.results, plan_episode(episode, problems, codec="png"))
    assert not [finding.message for finding in found if finding.verdict != "pass"]


def test_the_logs_are_copied_and_never_touched(tmp_path: Path) -> None:
    """Their bytes are the same there and here."""
    before = {path.name: path.read_bytes() for path in MINI_LOGS.iterdir()}
    begun(tmp_path / "made", MINI_LOGS)
    assert {path.name: path.read_bytes() for path in MINI_LOGS.iterdir()} == before
    assert {p.name: p.read_bytes() for p in (tmp_path / "made" / "logs").iterdir()} == before


def test_a_folder_that_holds_something_is_refused(tmp_path: Path) -> None:
    """Nothing of the user's is ever written over."""
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / "mine.txt").write_text("mine")
    with pytest.raises(WorkError, match="holds something already"):
        begun(tmp_path / "made", MINI_LOGS)
    assert [path.name for path in (tmp_path / "made").iterdir()] == ["mine.txt"]


def test_files_that_are_no_logs_are_left_out_and_named(
    tmp_path: Path, logs: Callable[..., Path]
) -> None:
    """The rest makes the session."""
    folder = logs("oak_1.csv")
    (folder / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(256)) * 9)
    (folder / ".hidden").write_text("x")
    (folder / "more").mkdir()
    problems = begun(tmp_path / "made", folder)
    assert {(p.level, p.code, p.file) for p in problems.found} == {
        ("warning", "log-left-out", "photo.jpg")
    }
    assert read_session(tmp_path / "made", Problems()) is not None


@pytest.mark.parametrize("there", [True, False])
def test_no_logs_at_all_is_one_error(tmp_path: Path, there: bool) -> None:  # noqa: FBT001 (a case)
    """It says where it looked, and nothing is made."""
    folder = tmp_path / "empty"
    if there:
        folder.mkdir()
    with pytest.raises(SessionError, match="empty"):
        begun(tmp_path / "made", folder)
    assert not (tmp_path / "made").exists()


def test_a_log_without_a_unit_is_told(tmp_path: Path, logs: Callable[..., Path]) -> None:
    """One stands in for it, marked in session.toml, with where to write the right one."""
    folder = logs("oak_1.csv", text=LOG.replace(" [N]", ""))
    problems = begun(tmp_path / "made", folder)
    (problem,) = problems.found
    assert problem.code == "no-unit"
    assert "[channels.kraft]" in str(problem.remedy)
    assert 'unit = "1"  # a guess' in (tmp_path / "made" / "session.toml").read_text("utf-8")


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (["a_cold_1.csv", "a_cold_2.csv"], [("a", "cold", 1), ("a", "cold", 2)]),
        (["a-wet-drag-run03.csv"], [("a", "wet drag", 3)]),
        (["a 2.csv"], [("a", "run", 2)]),
        (["a.csv", "a.txt"], [("a", "run", 1), ("a", "run", 2)]),
        (["2026.csv"], [("2026", "run", 1)]),
        (["a_cold_0.csv"], [("a", "cold", 1)]),
    ],
)
def test_names_tell_which_run_a_log_is(
    names: list[str], expected: list[tuple[str, str, int]], logs: Callable[..., Path]
) -> None:
    """Entry, test, repeat; no two logs are the same run."""
    found = found_runs(logs(*names), Problems())
    assert [(run.entry, run.test, run.repeat) for run in found] == expected


def test_odd_names_make_a_session_that_can_be_read(
    tmp_path: Path, logs: Callable[..., Path]
) -> None:
    """Letters, quotes, markup and the same word in two cases: all are entries of their own."""
    folder = logs('Öl "x"_[a]_1.csv', "Ol_[a]_1.csv", "#*1_`b`_1.csv", "ol_{c}_2.csv")
    begun(tmp_path / "made", folder)
    problems = Problems()
    episode = open_episode(tmp_path / "made", problems)
    assert episode is not None
    plan_episode(episode, problems, codec="png")
    assert not problems.errors
    assert len(episode.results.session.spec.entries) == 4


def test_long_names_that_begin_alike_stay_apart(tmp_path: Path, logs: Callable[..., Path]) -> None:
    """Tests whose names differ at their ends only have figures and points of their own."""
    stem = "oak_" + "a very long name of a test " * 3
    folder = logs(f"{stem}one_1.csv", f"{stem}two_1.csv")
    begun(tmp_path / "made", folder)
    problems = Problems()
    session = read_session(tmp_path / "made", problems)
    assert session is not None
    assert not problems.errors
    assert len(session.spec.tests) == len(session.spec.figures) == len(session.spec.points) == 2


@given(st.lists(st.text(min_size=1, max_size=60), min_size=1, max_size=8))
def test_keys_are_keys_and_all_different(words: list[str]) -> None:
    """Whatever the words, session.toml takes every key."""
    taken: list[str] = []
    for word in words:
        taken.append(key_from_words(word, taken=taken))
    assert len(set(taken)) == len(taken)
    assert all(key.isascii() and key[0].isalpha() and len(key) <= 40 for key in taken)


def test_a_unit_that_is_not_known_is_a_guess() -> None:
    """What the unit reader does not understand is not written as if it did."""
    run = FoundRun(Path("a_1.csv"), "a", "run", 1, 0.04, (FoundChannel("x", "wobbles"),))
    text = session_text(drafted([run]), "a", today=date(2026, 1, 2))
    assert 'unit = "1"  # a guess' in text
    assert 'length = "0.04 s"' in text


def test_a_disk_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The session appears whole or not at all."""

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device", str(tmp_path / "made"))

    monkeypatch.setattr(shutil, "copyfile", fails)
    with pytest.raises(WorkError):
        begun(tmp_path / "made", MINI_LOGS)
    assert not list(tmp_path.iterdir())
