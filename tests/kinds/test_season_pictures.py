"""A whole invented season, twelve entries in nine episodes, as pictures: what is drawn adds up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

import pytest

from overlays.checks.writing import is_number, lines_on
from overlays.draw.canvas import draw_range
from overlays.errors import Problems
from overlays.kinds._score_scene import ScoreUpdateScene
from overlays.kinds._standings_scene import StandingsScene
from overlays.kinds.score_update import ScoreUpdate
from overlays.kinds.standings import Standings
from overlays.model.result import Results, Standing
from overlays.scoring.standings import season_history
from tests.kinds.conftest import Bench, stage
from tests.kinds.test_score_update import sums_of
from tests.scoring.building import results, session
from tests.scoring.test_season_history import POINTS, invented_season

FRAMES = 400
ENTRIES = "\n".join(f'[entries.e{place}]\nname = "Pad e{place}"\n' for place in range(12))


@lru_cache(maxsize=1)
def season() -> tuple[Results, Mapping[int, tuple[Standing, ...]]]:
    """Return an empty session of all entries, and the standings after each episode."""
    ledger = [row for rows in invented_season().values() for row in rows]
    one = session(POINTS + ENTRIES)
    history = season_history(one, ledger, Problems())
    return results(one, {}, Problems()), history


def of_row(standing: Standing) -> set[str]:
    """Return the sums of a row's points, now and before."""
    return {
        str(sum((part for part in row.points.values() if part is not None), Decimal(0)))
        for row in (standing.row, standing.previous)
        if row is not None and row.score is not None
    }


@pytest.mark.slow
@pytest.mark.parametrize("number", range(1, 10))
def test_every_standings_of_a_season_adds_up(bench: Bench, number: int) -> None:
    """On every frame, each score drawn is the sum of that very row's points, then or now."""
    of, history = season()
    assert list(history) == list(range(1, 10))
    assert len(history[9]) == 12
    standings = history[number]
    sums = {f"Pad {one.row.entry}": of_row(one) for one in standings}
    entries = tuple(standing.row.entry for standing in standings[:2])
    content = Standings(entries=entries, rows=12).content(replace(of, standings=standings))
    scene = StandingsScene(content, stage(960, 540, frames=FRAMES), bench.style)
    seen: set[tuple[str, str]] = set()
    for frame, (pixels, _) in enumerate(draw_range(scene, range(FRAMES))):
        assert pixels[..., 3].any()
        lines = lines_on(scene.layers(frame))
        scores = [line for line in lines if is_number(line.text) and "." in line.text]
        for name in (line for line in lines if line.text in sums):
            middle = (name.rect.top + name.rect.bottom) // 2
            for score in scores:
                if score.rect.top <= middle < score.rect.bottom and score.clear and name.clear:
                    assert score.text in sums[name.text], (frame, name.text)
                    seen.add((name.text, score.text))
    assert {
        (f"Pad {one.row.entry}", str(one.row.score))
        for one in standings
        if one.row.score is not None
    } <= seen


@pytest.mark.slow
@pytest.mark.parametrize("number", range(1, 10))
def test_every_score_update_of_a_season_adds_up(bench: Bench, number: int) -> None:
    """On every frame, each total drawn is the sum of the points drawn beside it."""
    of, history = season()
    standings = history[number]
    changed = [one.row.entry for one in standings if one.row.points != _points(one.previous)]
    content = ScoreUpdate(entries=tuple(changed)).content(replace(of, standings=standings))
    frames = 150 * len(changed)
    scene = ScoreUpdateScene(content, stage(960, 540, frames=frames), bench.style)
    assert {Decimal(update.score) for update in content.updates} <= sums_of(scene, frames)


def _points(row: object) -> object:
    return getattr(row, "points", None)
