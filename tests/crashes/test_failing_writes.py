"""Each write of an episode fails once: one clear error, no half-written file, the next whole."""

from __future__ import annotations

import errno
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from overlays.errors import TracereelError
from overlays.files import is_leftover
from overlays.turnover.episode import make_episode
from tests.crashes.episodes import CODEC, contents, small_session
from tests.crashes.failing_writes import failing

CHUNKS = 6


def one_clip(folder: Path) -> Path:
    """Return the small session with one short cue left in its outline."""
    session = small_session(folder)
    outline = session / "outline.md"
    text = outline.read_text(encoding="utf-8")
    text = re.sub(r"```cue (curves|score_update)\n.*?```\n", "", text, flags=re.DOTALL)
    outline.write_text(text.replace('length = "2.6 s"', 'length = "0.8 s"'), encoding="utf-8")
    return session


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, bytes], int]:
    """A session of one clip, what an episode of it leaves, and how many writes that took."""
    folder = tmp_path_factory.mktemp("whole")
    session = one_clip(folder / "session")
    with failing(folder / "out", -1) as counted:
        make_episode(session, folder / "out", codec=CODEC, workers=1)
    return session, contents(folder / "out"), counted.calls


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_each_write_fails_once(
    whole: tuple[Path, dict[str, bytes], int],
    tmp_path: Path,
    chunk: int,
    record_property: Callable[[str, object], None],
) -> None:
    """Full disk or no permission, at every call in turn."""
    session, expected, calls = whole
    assert calls > 40
    told = 0
    for at in range(chunk, calls, CHUNKS):
        out = tmp_path / str(at)
        number = errno.ENOSPC if at % 2 else errno.EACCES
        with failing(out, at, number) as write:
            try:
                make_episode(session, out, codec=CODEC, workers=1)
            except TracereelError as error:
                told += 1
                codes = {problem.code for problem in error.problems()}
                assert codes <= {"disk-full", "cannot-write", "cannot-remove"}, write.failed
        assert write.failed
        found = contents(out) if out.exists() else {}
        assert not [name for name in found if found[name] != expected[name]], write.failed
        make_episode(session, out, codec=CODEC, workers=1)
        assert contents(out) == expected, write.failed
        assert not [path for path in out.rglob(".*") if is_leftover(path.name)], write.failed
    record_property("writes failed", len(range(chunk, calls, CHUNKS)))
    record_property("writes failed and told", told)
