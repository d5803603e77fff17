"""Drawing on a dask cluster: the same files, and clear words where it cannot be used."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from overlays.errors import RenderError
from overlays.model.clip import Clip
from overlays.render import cluster as module
from overlays.render.clips import render_clips
from overlays.render.code_versions import code_digest

pytestmark = pytest.mark.slow  # dask takes a second or two to start


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """Start a scheduler and a worker in this process, reached through the loopback."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=1,
        threads_per_worker=1,
        processes=False,
        protocol="tcp",
        dashboard_address=None,
    ) as cluster:
        yield cluster.scheduler_address


def test_files_are_the_same_as_drawn_here(
    address: str, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Where a clip was drawn cannot be told from it."""
    told: list[tuple[int, int, str]] = []
    here = render_clips(small_clips[1:], tmp_path / "here", workers=1)
    there = render_clips(
        small_clips[1:],
        tmp_path / "there",
        cluster=address,
        progress=lambda *done: told.append(done),
    )
    assert [result.sha256 for result in here] == [result.sha256 for result in there]
    total = sum(clip.frames for clip in small_clips[1:])
    assert told[-1] == (total, total, "frames")


def test_a_machine_with_other_code_is_refused(
    monkeypatch: pytest.MonkeyPatch, address: str, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """It would draw something else."""
    monkeypatch.setattr(module, "_sees", lambda _: (True, "another"))
    with pytest.raises(RenderError, match="another version") as caught:
        render_clips(small_clips[1:2], tmp_path / "out", cluster=address)
    assert caught.value.code == "cluster-differs"


def test_a_machine_that_does_not_see_the_folder_is_refused(
    monkeypatch: pytest.MonkeyPatch, address: str, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Its files would end up elsewhere."""
    monkeypatch.setattr(module, "_sees", lambda _: (False, code_digest()))
    with pytest.raises(RenderError, match="does not see"):
        render_clips(small_clips[1:2], tmp_path / "out", cluster=address)


def test_no_scheduler_there_is_told(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Port 1 of this machine answers nobody; an address that is none is told the same way."""
    pytest.importorskip("distributed")
    monkeypatch.setattr(module, "_ANSWER_WITHIN_S", 0.2)
    for wrong in ("tcp://127.0.0.1:1", "nonsense://x"):
        with pytest.raises(RenderError) as caught:
            render_clips(small_clips[1:2], tmp_path / "out", cluster=wrong)
        assert caught.value.code == "no-cluster"
        assert wrong in caught.value.message


def test_the_package_missing_is_told(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """The remedy names what to install."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(RenderError) as caught:
        render_clips(small_clips[1:2], tmp_path / "out", cluster="tcp://127.0.0.1:1")
    assert caught.value.code == "no-cluster-package"
    assert "cluster" in caught.value.remedy
