"""One moment of a run that is seen or heard at once: which of those in a camera file it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.footage.found import SURE_WITHIN_S, By, Found, Place, nothing_found

__all__ = ["Event", "found_by_event"]

# What is as strong as so much of the strongest may be it just as well.
_RUNNER_UP = 0.7
_TOLD = 4


@dataclass(frozen=True, slots=True)
class Event:
    """A flash or a clap.

    Parameters
    ----------
    time_s : float
        Its time in the footage.
    within_s : float
        How closely that is known, to either side.
    strength : float
        How strong it is, above 0; of codes or decibels.
    """

    time_s: float
    within_s: float
    strength: float


def found_by_event(by: By, events: Sequence[Event], *, at_s: float) -> Found:
    """Place a run by the strongest event, if it stands out.

    Parameters
    ----------
    by : {"flash", "clap"}
        What they are.
    events : sequence of Event
        All that were found.
    at_s : float
        The run's time at the event.

    Returns
    -------
    Found
        Sure only if no other is about as strong, and the time is known to within a frame.
    """
    ranked = sorted(events, key=lambda event: -event.strength)
    if not ranked:
        return nothing_found(by, f"no {by} stands out", _OTHER_WAY)
    best = ranked[0]
    places = tuple(
        Place(event.time_s - at_s, round(event.strength / best.strength, 3))
        for event in ranked[:_TOLD]
    )
    alike = [event for event in ranked if event.strength >= _RUNNER_UP * best.strength]
    if len(alike) > 1:
        times = " and ".join(
            f"{time_s:.3f} s" for time_s in sorted(e.time_s for e in alike[:_TOLD])
        )
        why = f"{len(alike)} of a kind are about as strong, at {times}"
        return Found(by, places, best.within_s, sure=False, why=why, remedy=_CUT)
    if best.within_s > SURE_WITHIN_S:
        why = f"the pictures around it are {2 * best.within_s:.3f} s apart, more than two frames"
        return Found(by, places, best.within_s, sure=False, why=why, remedy=_OTHER_WAY)
    return Found(by, places, best.within_s, sure=True)


_OTHER_WAY = "Check that it is the right file, or look for another sign (--by)."
_CUT = "Cut the footage to the one that is meant, or look for another sign (--by)."
