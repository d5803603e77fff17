"""The rendering benchmark still runs; what it measures is not judged here."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

from tests.benchmarks import rendering

pytestmark = pytest.mark.slow


def test_a_short_overlay_is_planned_rendered_and_taken_apart(tmp_path: Path) -> None:
    """Three seconds of it: ours, by stages, and the encoder alone."""
    clip, out = tmp_path / "short.clip", tmp_path / "short.mov"
    rendering._plan(str(tmp_path / "session"), str(clip), "1080", "3", "300")
    ours = rendering._ours(str(clip), str(out))
    assert ours["s"] > 0
    assert ours["peak_mb"] > 10
    whole = out.read_bytes()
    stages = rendering._stages(str(clip), str(out))
    assert out.read_bytes() == whole
    assert stages["frames"] == 180
    assert all(seconds > 0 for seconds in stages.values())
    assert rendering._encoder(str(clip), "1", "90") > 0


def test_every_figure_of_the_contract_is_written() -> None:
    """The names that outside checks rely on, and the goals, are among those measured."""
    contract = """vs_plain_plot vs_fixed_quantiser vs_default_encoder vs_default_encoder_2160
        peak_mb_1080 peak_mb_2160 drawn_fps encoded_fps"""
    written = inspect.getsource(rendering.measure)
    for name in (*contract.split(), *rendering.GOALS):
        assert f'found["{name}"]' in written
