"""Damaged turnovers: `verify` tells one clear error or none, soon, and changes nothing.

A few dozen mutations of each file are tried in the suite, more with ``TRACEREEL_FUZZ=full``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.clip import CODECS
from overlays.turnover.manifest import Manifest
from overlays.turnover.verify import verify
from tests.hostile.mutate import damaged, mutated
from tests.hostile.sessions import share
from tests.hostile.watch import watched
from tests.turnover.conftest import turnover

__all__ = ["turnover"]

Turnover = Callable[..., Manifest]


def proved(folder: Path) -> None:
    """Do what `verify` does."""
    problems = Problems()
    verify(folder, problems)
    problems.raise_errors()


def tried(folder: Path, file: Path, damage: Callable[[int], bytes], count: int) -> Counter[str]:
    """Prove a folder with a file damaged in so many ways; return how it went."""
    good = file.read_bytes()
    outcomes: Counter[str] = Counter()
    for seed in range(count):
        file.write_bytes(damage(seed))
        verdict = watched(partial(proved, folder), may_write=folder / "nowhere")
        assert verdict.good, f"{file.name} {seed}: {verdict.outcome} {verdict.outside}"
        outcomes[verdict.outcome] += 1
    file.write_bytes(good)
    return outcomes


@pytest.mark.slow
def test_a_damaged_list_is_told_or_harmless(
    tmp_path: Path, turnover: Turnover, record_property: Callable[[str, object], None]
) -> None:
    """No traceback from any text of a turnover, whatever became of it."""
    out = tmp_path / "out"
    turnover(out)
    outcomes: Counter[str] = Counter()
    for file in sorted(path for path in out.iterdir() if path.is_file()):
        text = file.read_text(encoding="utf-8")
        outcomes += tried(out, file, partial(mutated, text), share("mutations") // 4)
    assert min(outcomes["done"], outcomes["refused"]) > 0
    record_property("damaged lists of a turnover", outcomes.total())


@pytest.mark.slow
@pytest.mark.parametrize("codec", [codec for codec in CODECS if CODECS[codec]])
def test_a_damaged_clip_is_told(
    tmp_path: Path,
    turnover: Turnover,
    codec: str,
    record_property: Callable[[str, object], None],
) -> None:
    """No traceback from any film, and none passes for the one that was written."""
    out = tmp_path / "out"
    turnover(out, codec=codec, cues=("first",))
    (file,) = (out / "clips").iterdir()
    outcomes = tried(out, file, partial(damaged, file.read_bytes()), share("mutations"))
    assert set(outcomes) == {"refused"}
    record_property("damaged clips of a turnover", outcomes.total())
