"""What the runs of a test have in common, so that it need not be said of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from overlays.model.session import SessionSpec
from overlays.scoring.doubted import listed
from overlays.turnover.look.seen import SeenPlace, SeenRun

__all__ = ["Shared", "runs_named", "shared_logs", "shared_steps"]


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """Phrases that runs of a test have in common, and those they have to themselves.

    Parameters
    ----------
    common : tuple of str
        Said of every readable run of the test.
    own : tuple of (SeenRun, tuple of str)
        What else is said of each.
    """

    common: tuple[str, ...]
    own: tuple[tuple[SeenRun, tuple[str, ...]], ...]

    def of_place(self, place: SeenPlace) -> Iterator[tuple[str, str]]:
        """Yield each phrase that some runs of a place have to themselves, after their names."""
        phrases: dict[str, list[SeenRun]] = {}
        for seen, own in self.own:
            if any(seen is run for run in place.runs):
                for phrase in own:
                    phrases.setdefault(phrase, []).append(seen)
        for phrase, runs in phrases.items():
            yield runs_named(runs), phrase


def runs_named(runs: Sequence[SeenRun]) -> str:
    """Name runs: ``run 2``, ``runs 1, 2 and 3``."""
    numbers = [str(seen.ref.repeat) for seen in runs]
    return f"{'run' if len(numbers) == 1 else 'runs'} {listed(numbers)}"


def shared_steps(spec: SessionSpec, places: Sequence[SeenPlace]) -> Shared:
    """Return what conditioning did to the runs of one test, a phrase a channel."""

    def steps(seen: SeenRun) -> tuple[str, ...]:
        if seen.run is None:
            return ()
        return tuple(
            f"{spec.channels[key].label}: {', '.join(trace.steps) or 'as logged'}"
            for key, trace in seen.run.traces.items()
        )

    return _shared(places, steps)


def shared_logs(places: Sequence[SeenPlace]) -> Shared:
    """Return what was assumed when the logs of one test were read, a phrase a note."""
    return _shared(places, lambda seen: tuple(note.words for note in seen.notes))


def _shared(places: Sequence[SeenPlace], phrases: Callable[[SeenRun], tuple[str, ...]]) -> Shared:
    said = [(seen, phrases(seen)) for place in places for seen in place.runs]
    readable = [of for _, of in said if of]
    first = readable[0] if readable else ()
    common = tuple(phrase for phrase in first if all(phrase in of for of in readable))
    own = tuple((seen, tuple(phrase for phrase in of if phrase not in common)) for seen, of in said)
    return Shared(common, own)
