"""A run found by its sound: the place where the bench sounds as the trace goes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from overlays.footage.found import SURE_WITHIN_S, Found, Place, nothing_found
from overlays.footage.hearing import ROWS_PER_S, Heard
from overlays.footage.scanning import Template, candidates, scan, template_of
from overlays.footage.shape import Shape
from overlays.footage.weighing import Weight, cut_rows, fine_place, weigh
from overlays.footage.whiten import Sound, whitened
from overlays.progress import Progress, silent

__all__ = ["find_by_sound"]

# In logarithmic likelihood. Two bangs as far apart as a run's start and end were measured to weigh
# 65 in one of some fifty invented workshops; runs that are clearly heard weigh hundreds.
_LEAST_TOTAL, _LEAST_OF_TWO = 60.0, 100.0
_LEAST_REST, _LEAST_PART = 5.0, 5.0
_RUNNER_UP = 0.6  # of the best place's weight
_APART_ROWS = 10
_SAME_S = 0.25  # places nearer to each other are one
_MOST, _MOST_PER_MIN = 60, 20
_SHOWN = 4
_LEAST_ROWS = 160  # 0.8 s
# By how much another run must fit better: less where it would begin elsewhere, for then the place
# would be wrong; repeats of one entry are alike, and begin at the same place.
_ELSEWHERE, _SAME = (1.2, 10.0), (1.6, 20.0)
_SAME_ROWS = 6
_OTHER_MOST = 12
_START_DUE, _START_SHARE = 10.0, 0.1


@dataclass(frozen=True, slots=True)
class _Weighed:
    place: int
    weight: Weight


def find_by_sound(
    heard: Heard,
    shape: Shape | None,
    *,
    others: Mapping[str, Shape | None],
    progress: Progress = silent,
) -> Found:
    """Find where a run lies in a sound track.

    Parameters
    ----------
    heard : Heard
        The sound track.
    shape : Shape or None
        The run's trace; None where it is flat.
    others : Mapping of str to Shape or None
        Other runs, by name, to be told apart from this one.
    progress : Progress
        Told the places weighed.

    Returns
    -------
    Found
        Sure only if several parts of the run fit, no other place fits nearly as well, no other run
        fits clearly better there, and the place is known to within a frame.
    """
    if shape is None:
        return nothing_found(
            "sound", "the trace of this run is flat, so no sound can follow it", _OTHER_CHANNEL
        )
    sound = whitened(heard)
    if sound is None:
        return nothing_found(
            "sound", "the sound track is silent, or shorter than two seconds", _OTHER_WAY
        )
    template = template_of(shape, sound)
    if len(template.parts) < _LEAST_ROWS or not template.whole.any():
        return nothing_found("sound", "the trace of this run is too short", _OTHER_CHANNEL)
    minutes = len(sound.rows) / ROWS_PER_S / 60
    found = _weighed(sound, template, round(_MOST + _MOST_PER_MIN * minutes), progress)
    if not found:
        return nothing_found(
            "sound", "the footage does not hold enough of a run of this length", _OTHER_WAY
        )
    zero_row = sound.first_row - template.first_row
    best = found[0]
    fine = fine_place(sound, template, best.place)
    error_s = math.hypot(fine.within / ROWS_PER_S, 1 / ROWS_PER_S, shape.step_s / 2)
    offsets = [float(fine.row + zero_row) / ROWS_PER_S]
    offsets += [(one.place + zero_row) / ROWS_PER_S for one in found[1:]]
    top = max(best.weight.total, 1e-9)
    places = [
        Place(offset, round(max(0.0, one.weight.total / top), 3))
        for offset, one in zip(offsets, found, strict=True)
    ]
    apart = [places[0]]
    apart += [one for one in places[1:] if abs(one.offset_s - places[0].offset_s) > _SAME_S]
    why, remedy = _doubt(best.weight, apart, error_s)
    if not why:
        why, remedy = _other_run(sound, template, best, others, progress)
    return Found("sound", tuple(apart[:_SHOWN]), error_s, not why, why, remedy)


_OTHER_CHANNEL = (
    'Name the channel that the sound follows, as heard = "CHANNEL" under the test in session.toml.'
)
_OTHER_WAY = "Check that it is the right file and run."


def _weighed(
    sound: Sound,
    template: Template,
    most: int,
    progress: Progress = silent,
    *,
    shared: tuple[int, int] | None = None,
) -> list[_Weighed]:
    """Weigh the most likely places, the heaviest first."""
    places, gains = scan(sound, template)
    # A run whose zero lies outside the footage is of no use to a picture.
    zero = places - template.first_row
    gains = np.where((zero >= 0) & (zero < len(sound.rows)), gains, 0)
    cuts = cut_rows(template)
    chosen = candidates(places, gains, most=most, apart=_APART_ROWS)
    found: list[_Weighed] = []
    for done, place in enumerate(chosen, start=1):
        weight = weigh(sound, template, place, cuts, shared=shared)
        found.append(_Weighed(place, weight))
        progress(done, len(chosen), "places weighed")
    return sorted(found, key=lambda one: -one.weight.total)


def _doubt(best: Weight, places: list[Place], error_s: float) -> tuple[str, str]:
    """Say what is doubtful about a place, and what to do; empty where nothing is."""
    if why := _weak(best):
        look = "Look and listen there, and write starts yourself if it is right."
        return why, look if best.total >= _LEAST_OF_TWO else f"{_OTHER_CHANNEL} {_OTHER_WAY}"
    if len(places) > 1 and places[1].weight >= _RUNNER_UP:
        return (
            f"{places[0].offset_s:.2f} s and {places[1].offset_s:.2f} s fit about as well",
            "Look and listen at both, or cut the footage so that it holds one run.",
        )
    if error_s > SURE_WITHIN_S:
        return (
            f"the place is known to within {error_s:.3f} s only, more than a frame",
            "Look and listen there, and write starts yourself.",
        )
    return "", ""


def _weak(weight: Weight) -> str:
    """Say what a place lacks by itself; empty where nothing."""
    third = sorted(weight.parts, reverse=True)[2] if len(weight.parts) > 2 else 0.0
    if weight.total < (_LEAST_TOTAL if third >= _LEAST_PART else _LEAST_OF_TWO):
        return "nothing in the sound clearly follows this run"
    if weight.rest < _LEAST_REST:
        return "the sound fits one moment of the run only, as any bang may"
    if weight.start_due > _START_DUE and weight.start < _START_SHARE * weight.start_due:
        return "the sound does not begin there as the run does"
    return ""


def _other_run(
    sound: Sound,
    template: Template,
    best: _Weighed,
    others: Mapping[str, Shape | None],
    progress: Progress,
) -> tuple[str, str]:
    """Say which other run fits clearly better at about the same place, if one does."""
    begin, end = best.place, best.place + len(template.parts)
    zero = best.place - template.first_row
    clearest, name = 0.0, ""
    for done, (other, shape) in enumerate(others.items(), start=1):
        for row, weight in _near(sound, shape, begin, end):
            times, more = _SAME if abs(row - zero) <= _SAME_ROWS else _ELSEWHERE
            clearly = weight - (best.weight.total * times + more)
            if clearly > clearest:
                clearest, name = clearly, other
        progress(done, len(others), "other runs compared")
    if not name:
        return "", ""
    return (
        f"the sound there fits the run {name!r} clearly better",
        f"Check which run the footage shows; ask for {name!r}.",
    )


def _near(sound: Sound, shape: Shape | None, begin: int, end: int) -> Iterator[tuple[int, float]]:
    """Yield where a run may begin around some rows of a sound, and what it weighs within them."""
    if shape is None or len(shape.parts) < _LEAST_ROWS:
        return
    template = template_of(shape, sound)
    length = len(template.parts)
    near = sound.part(begin - length, end + length)
    skipped = near.first_row - sound.first_row
    shared = (begin - skipped, end - skipped)
    for one in _weighed(near, template, _OTHER_MOST, shared=shared):
        both = min(one.place + length, shared[1]) - max(one.place, shared[0])
        if 2 * both >= min(length, end - begin) and not _weak(one.weight):
            yield one.place + skipped - template.first_row, one.weight.shared
