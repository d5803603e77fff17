"""Whole sessions of strangers: refused with one clear error a fault, or made and harmless.

24 of them are tried in the suite, all 500 with ``TRACEREEL_FUZZ=full``, by the commands
themselves: `check`, and where it finds no error all that write. Nothing may be written beside the
output folder and the folder of kept runs, no program started, no address asked for.
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from overlays.cli import app
from overlays.errors import TracereelError
from overlays.saying import tell
from overlays.scoring.kept_runs import CACHE_VARIABLE
from tests.hostile.attacks import ATTACKS, hostile
from tests.hostile.harmless import harm_in, harm_in_text
from tests.hostile.sessions import share, short_session
from tests.hostile.watch import watched

STEP = 21  # of seeds, where not all are tried: every kind of attack comes first once


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A session that is good, worked through once: runs are kept, and libraries set up."""
    folder = tmp_path_factory.mktemp("strangers")
    session = short_session(folder / "good")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(CACHE_VARIABLE, str(folder / "work" / "kept"))
        patch.setattr(tempfile, "tempdir", str(folder / "work"))
        (folder / "work").mkdir()
        patch.chdir(folder / "work")
        commands(session, folder / "work" / "out", io.StringIO())
        shutil.rmtree(folder / "work" / "out")
        yield session


def commands(session: Path, out: Path, printed: io.StringIO) -> None:
    """Check a session, and where there is no error make everything that can be made of it."""

    def command(*words: object) -> None:
        code = app([str(word) for word in words], standalone_mode=False)
        assert code in (None, 0, 1), words

    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
        try:
            if app(["check", str(session)], standalone_mode=False):
                raise _RefusedError
            command("episode", session, "--out", out, "--codec", "png", "--workers", 1)
            command("runs", session, "--out", out / "runs.html")
            command("standings", session, "--out", out / "standings.xlsx")
            command("script", session, "--out", out / "script.html")
            command("preview", session, "--at", "1 frame", "--out", out / "look.png")
            for form in ("html", "csv"):
                with contextlib.redirect_stdout(io.StringIO()) as page:
                    command("runsheet", session, "--format", form)
                (out / f"runsheet.{form}").write_text(page.getvalue(), encoding="utf-8")
        except TracereelError as error:
            tell(error.problems())
            raise


class _RefusedError(TracereelError):
    """What `check` printed was errors."""

    def __init__(self) -> None:
        super().__init__("the session has errors", code="refused", remedy="None.")


def trial(good: Path, seed: int) -> tuple[str, str]:
    """Make a hostile session, work on it; return the attack, and what became of it."""
    place = good.parent / "work"
    for folder in (place / "session", place / "out", place / "far", place / "elsewhere"):
        shutil.rmtree(folder, ignore_errors=True)
    session = shutil.copytree(good, place / "session")
    attack = hostile(session, seed)
    before = {file: file.stat().st_mtime_ns for file in _files(place)}
    printed = io.StringIO()
    verdict = watched(partial(commands, session, place / "out", printed), may_write=place)
    harm = [*harm_in_text(".terminal", printed.getvalue())]
    if verdict.outcome == "done" and (place / "out").is_dir():
        harm += harm_in(place / "out")
    after = {file: file.stat().st_mtime_ns for file in _files(place)}
    changed = {file for file in before.keys() | after.keys() if before.get(file) != after.get(file)}
    elsewhere = [str(file) for file in changed if not file.is_relative_to(place / "out")]
    if not verdict.good or harm or elsewhere:
        where = f"{verdict.outside[:3]} {harm[:3]} {elsewhere[:3]} {verdict.seconds:.1f} s"
        return attack, f"BAD {verdict.outcome} {where}"
    return attack, verdict.outcome


def _files(place: Path) -> Iterator[Path]:
    for folder, folders, names in os.walk(place):
        folders[:] = [name for name in folders if Path(folder, name) != place / "kept"]
        yield from (
            path
            for name in names
            if (path := Path(folder, name)).is_file() and not path.is_symlink()
        )


@pytest.mark.slow
def test_hostile_sessions_are_refused_or_harmless(
    good: Path, record_property: Callable[[str, object], None]
) -> None:
    """No traceback, nothing over ten seconds, nothing elsewhere, nothing that acts when opened."""
    count = share("sessions")
    step = 1 if count > len(ATTACKS) * 2 else STEP + 1
    outcomes: Counter[str] = Counter()
    by_attack: Counter[str] = Counter()
    bad: dict[int, str] = {}
    for seed in (number * step for number in range(count)):
        attack, outcome = trial(good, seed)
        by_attack[attack] += 1
        if outcome.startswith("BAD"):
            bad[seed] = f"{attack}: {outcome}"
        else:
            outcomes[outcome] += 1
    for name, number in (
        ("tried", count),
        ("refused", outcomes["refused"]),
        ("made", outcomes["done"]),
    ):
        record_property(f"hostile sessions {name}", number)
    print(f"{count} hostile sessions: {dict(outcomes)}, {len(bad)} bad")  # noqa: T201 (asked for)
    assert bad == {}
    assert len(by_attack) >= min(len(ATTACKS), count) - 1
    assert min(outcomes["done"], outcomes["refused"]) > 0
