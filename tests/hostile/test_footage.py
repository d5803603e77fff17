"""Damaged camera files: one clear error or none, soon, whatever is asked of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from overlays.checks.footage import still_of
from overlays.footage.clock import read_clock
from overlays.footage.hearing import hear
from overlays.footage.pictures import opened_pictures
from tests.footage.cameras import film
from tests.hostile.mutate import damaged
from tests.hostile.sessions import share
from tests.hostile.watch import watched


def looked_at(file: Path) -> None:
    """Ask a camera file for everything that is ever asked: a still, times, sound, a picture."""
    still_of(file, 32, 24)
    clock = read_clock(file)
    hear(file, clock)
    with opened_pictures(file, clock, 32, 24) as pictures:
        pictures.at(0.5)


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["mp4", "mov", "mkv"])
def test_a_damaged_camera_file_is_told_or_harmless(
    tmp_path: Path, ending: str, record_property: Callable[[str, object], None]
) -> None:
    """No traceback and nothing that never ends."""
    file = film(tmp_path / f"a.{ending}", np.sin(np.arange(44100) / 20), seconds=1)
    good = file.read_bytes()
    outcomes: Counter[str] = Counter()
    for seed in range(share("mutations")):
        file.write_bytes(damaged(good, seed))
        verdict = watched(partial(looked_at, file), may_write=tmp_path)
        assert verdict.good, f"{seed}: {verdict.outcome} {verdict.outside}"
        outcomes[verdict.outcome] += 1
    assert min(outcomes["done"], outcomes["refused"]) > 0
    record_property("damaged camera files", outcomes.total())
