"""A whole invented season, twelve entries in nine episodes, as the pictures of its standings."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from overlays.draw.canvas import draw_range
from overlays.draw.numerals import Numerals
from overlays.draw.patch import Layer, Patch
from overlays.errors import Problems
from overlays.kinds._standings_scene import StandingsScene
from overlays.kinds.standings import Standings
from overlays.scoring.standings import season_history
from tests.kinds.conftest import Bench, stage
from tests.scoring.building import results, session
from tests.scoring.test_season_history import POINTS, invented_season

FRAMES = 400


@pytest.mark.slow
def test_every_episode_of_a_season_is_rendered_and_adds_up(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On every frame of every episode, each score drawn is the sum of its row's points then."""
    ledger = [row for rows in invented_season().values() for row in rows]
    one = session(POINTS)
    history = season_history(one, ledger, Problems())
    assert list(history) == list(range(1, 10))
    assert len(history[9]) == 12
    texts: dict[Patch, str] = {}
    original = Numerals.layer

    def noted(self: Numerals, text: str, right: int, baseline: int) -> Layer:
        layer = original(self, text, right, baseline)
        texts[layer.patch] = text
        return layer

    monkeypatch.setattr(Numerals, "layer", noted)
    of = results(one, {}, Problems())
    for number, standings in history.items():
        texts.clear()
        names = tuple(standing.row.entry for standing in standings[:2])
        content = Standings(entries=names, rows=12).content(replace(of, standings=standings))
        scene = StandingsScene(content, stage(960, 540, frames=FRAMES), bench.style)
        sums = {
            str(sum((p for p in row.points.values() if p is not None), Decimal(0)))
            for standing in standings
            for row in (standing.row, standing.previous)
            if row is not None and row.score is not None
        }
        seen: set[str] = set()
        for frame, (pixels, _) in enumerate(draw_range(scene, range(FRAMES))):
            assert pixels[..., 3].any()
            drawn = {texts[x.patch] for x in scene.layers(frame) if x.patch in texts}
            drawn = {text for text in drawn if "." in text}
            assert drawn <= sums, (number, frame)
            seen |= drawn
        now = {str(s.row.score) for s in standings if s.row.score is not None}
        assert now <= seen
