"""Damaged files of a session: one clear error or none, soon, and nothing touched elsewhere.

60 mutations of each file are tried in the suite, 2,000 with ``TRACEREEL_FUZZ=full``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from overlays.scoring.kept_runs import CACHE_VARIABLE
from tests.hostile.mutate import mutated
from tests.hostile.sessions import FILES, checked, drawn, share, whole_session
from tests.hostile.watch import watched


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A whole session, read once, so that its runs are kept and what libraries set up is there."""
    folder = whole_session(tmp_path_factory.mktemp("mutations") / "session")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(CACHE_VARIABLE, str(folder.parent / "kept"))
        drawn(folder)
        yield folder


@pytest.mark.parametrize("file", FILES)
def test_a_damaged_file_is_told_or_harmless(
    session: Path, file: str, record_property: Callable[[str, object], None]
) -> None:
    """No traceback, nothing over ten seconds, nothing written, started or asked for."""
    path = session / file
    good = path.read_text(encoding="utf-8")
    work = drawn if file.endswith("style.toml") else checked
    kept = session.parent / "kept"
    outcomes: Counter[str] = Counter()
    bad: dict[int, str] = {}
    try:
        for seed in range(share("mutations")):
            path.write_bytes(mutated(good, seed))
            verdict = watched(partial(work, session), may_write=kept)
            outcomes[verdict.outcome] += 1
            if not verdict.good:
                bad[seed] = f"{verdict.outcome} {verdict.outside} {verdict.seconds:.1f} s"
    finally:
        path.write_text(good, encoding="utf-8")
    assert not bad
    # A check that refuses everything, or nothing, would tell nothing.
    assert min(outcomes["done"], outcomes["refused"]) > 0
    record_property(f"mutations of {file}", outcomes.total())
    record_property(f"mutations of {file}, refused", outcomes["refused"])
