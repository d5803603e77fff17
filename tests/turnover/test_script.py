"""The script for reading aloud, as text or as a page."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import Problems, TurnoverError
from overlays.plan import Episode, open_episode
from overlays.turnover.script import write_script

MINI = Path(__file__).resolve().parents[1] / "data" / "sessions" / "mini"


@pytest.fixture(scope="module")
def episode() -> Episode:
    found = open_episode(MINI, Problems())
    assert found is not None
    return found


def test_text_and_page_hold_every_beat(episode: Episode, tmp_path: Path) -> None:
    """Both endings write what is returned, with every beat and no reference left open."""
    for name in ("script.txt", "script.html"):
        text = write_script(episode, tmp_path / name)
        assert (tmp_path / name).read_text(encoding="utf-8") == text
        assert all(beat.title in text for beat in episode.outline.beats)
        assert "{" not in text.split("</style>")[-1]
    assert write_script(episode, None) == (tmp_path / "script.txt").read_text(encoding="utf-8")


def test_another_ending_is_refused(episode: Episode, tmp_path: Path) -> None:
    """Nothing is written under a name that promises something else."""
    with pytest.raises(TurnoverError, match=r"\.html"):
        write_script(episode, tmp_path / "script.docx")
    assert list(tmp_path.iterdir()) == []
