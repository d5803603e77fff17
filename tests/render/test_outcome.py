"""Parts submitted to an executor, and what became of them."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from overlays.errors import RenderError
from overlays.model.clip import Clip
from overlays.render.outcome import WorkerDiedError, completed
from overlays.render.parts import Part


class _Gone(Exception):  # noqa: N818 (what a pool would raise)
    pass


def _parts(clips: tuple[Clip, ...]) -> list[Part]:
    return [Part(clip, "qtrle", 0, 1, Path(clip.cue)) for clip in clips]


def test_digests_errors_and_deaths_come_back_with_their_part(
    small_clips: tuple[Clip, ...],
) -> None:
    """One part is drawn, one fails, one takes its worker along."""
    parts = _parts(small_clips)
    refused = RenderError("found a knot.", code="knot", remedy="Untie it.")

    def task(part: Part) -> str:
        if part is parts[1]:
            raise refused
        if part is parts[2]:
            raise _Gone
        return "digest"

    told: list[None] = []
    with ThreadPoolExecutor(2) as pool:
        done = completed(pool, task, parts, death=_Gone, tell=lambda: told.append(None))
        found = {outcome.part.clip.cue: outcome for outcome in done}
    first, second, third = (found[part.clip.cue] for part in parts)
    assert (first.sha256, first.error) == ("digest", None)
    assert (second.sha256, second.error) == ("", refused)
    assert isinstance(third.error, WorkerDiedError)
    assert told


def test_any_other_error_is_ours_and_not_hidden(small_clips: tuple[Clip, ...]) -> None:
    """A mistake in the program is raised, not reported as a clip's problem."""

    def task(part: Part) -> str:
        raise ZeroDivisionError(part.clip.cue)

    with ThreadPoolExecutor(1) as pool:
        done = completed(pool, task, _parts(small_clips), death=_Gone, tell=lambda: None)
        with pytest.raises(ZeroDivisionError):
            list(done)


def test_a_death_names_clip_and_remedy_and_survives_pickling(
    small_clips: tuple[Clip, ...],
) -> None:
    """It may be raised in another process."""
    error = WorkerDiedError.drawing(_parts(small_clips)[0])
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 (our own)
    assert str(again) == str(error)
    assert small_clips[0].cue in error.message
