"""What a re-test touched, against a turnover made before."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from overlays.errors import Problems, TurnoverError
from overlays.files import write_text_whole
from overlays.plan import Episode, open_episode
from overlays.scoring.tables import figures_text
from overlays.turnover.touched import figures_of_turnover, what_was_touched

DEMO = Path(__file__).resolve().parents[2] / "demo_sessions" / "brake_bench"


@pytest.fixture(scope="module")
def episode() -> Episode:
    found = open_episode(DEMO, Problems())
    assert found is not None
    return found


def test_nothing_is_touched_where_nothing_changed(episode: Episode, tmp_path: Path) -> None:
    """Against its own figures a session shows no change and has nothing to say again."""
    write_text_whole(tmp_path / "figures.csv", figures_text(episode.results, "csv"))
    text = what_was_touched(episode, tmp_path, "table")
    assert "say again" not in text
    assert "alder" not in text


def test_a_changed_figure_is_traced_to_its_sentence_and_cues(
    episode: Episode, tmp_path: Path
) -> None:
    """The old value is found in figures, narration and cues, with what to say instead."""
    rows = figures_text(episode.results, "csv").splitlines()
    now = episode.results.figures["cold_mean", "alder"].shown
    old = [
        row.replace(f",{now},", ",60.1,", 1) if "cold_mean,alder" in row else row for row in rows
    ]
    assert old != rows
    write_text_whole(tmp_path / "figures.csv", "\n".join(old) + "\n")
    text = what_was_touched(episode, tmp_path, "table")
    assert "60.1" in text
    assert "alder-card" in text
    assert f"now: Alder bites first and averages {now} newton metres." in text
    assert "was: Alder bites first and averages 60.1 newton metres." in text


def test_a_folder_without_figures_is_told(episode: Episode, tmp_path: Path) -> None:
    """A folder that is no turnover is one clear error."""
    with pytest.raises(TurnoverError, match=r"figures\.csv"):
        figures_of_turnover(episode.results, tmp_path)
    shutil.copy(DEMO / "ledger.csv", tmp_path / "figures.csv")
    (tmp_path / "figures.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(TurnoverError):
        figures_of_turnover(episode.results, tmp_path)
