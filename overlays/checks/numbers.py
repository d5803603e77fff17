"""The numbers of an episode's pictures: those of the data, adding up, the same everywhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from overlays.checks.findings import Finding
from overlays.kinds.base import Content
from overlays.model.clip import Clip
from overlays.model.result import Results
from overlays.numbers import typeset

__all__ = ["judge_numbers", "judge_standings", "judge_sums"]

_AGAIN = "Run 'episode' again; if it stays so, report the overlay kind."


def judge_numbers(
    results: Results, clips: Sequence[Clip], read: Mapping[str, Sequence[str]]
) -> tuple[Finding, ...]:
    """Hold the numbers read from an episode's clips to its results.

    A figure is asked for as it is now: a clip that shows it otherwise, such as a value that has
    been superseded, is found out whatever made it. What has to be there once may be there again.

    Parameters
    ----------
    results : Results
        What was measured.
    clips : sequence of Clip
        All of the episode.
    read : Mapping[str, sequence of str]
        The numbers read from the last frame of each cue, as set.

    Returns
    -------
    tuple of Finding
        Failures with their cue, else one pass.
    """
    found = [*judge_standings(results)]
    former = _former(results)
    for clip in clips:
        if clip.cue in read:
            shown = _Shown(results, clip, frozenset(read[clip.cue]))
            found += [*shown.figures(former), *shown.sums(), *shown.values()]
    if found:
        return tuple(found)
    pairs = [pair for clip in clips for pair in dict.fromkeys(_set_figures(clip))]
    again = sum(pairs.count(pair) > 1 for pair in set(pairs))
    message = (
        f"{len(set(pairs))} figures are shown as they were measured, {again} of them in several "
        "clips; all sums add up."
    )
    return (Finding("numbers", "pass", message),)


def judge_standings(results: Results) -> Iterator[Finding]:
    """Add up every row of the standings; yields a failure for each that does not."""
    for standing in results.standings:
        row = standing.row
        points = [part for part in row.points.values() if part is not None]
        total = sum(points, Decimal(0))
        if row.score is not None and points and total != row.score:
            message = f"the points of {row.name!r} are {total} in all; its score is {row.score}."
            yield Finding("numbers", "fail", message, "Report it: a score is the sum of points.")


def _former(results: Results) -> dict[tuple[str, str], str]:
    """Return figures as they were before this episode."""
    return {
        (figure.figure, figure.entry): figure.shown
        for standing in results.standings
        if standing.previous is not None
        for figure in standing.previous.figures.values()
        if figure is not None and figure.value is not None
    }


def judge_sums(clip: Clip) -> Iterator[Finding]:
    """Add up the sums that a clip shows; yields a failure for each that does not."""
    for parts, total in _sums(clip):
        added = sum((Decimal(part) for part in parts), Decimal(0))
        if added != Decimal(total):
            yield _failure(clip, f"{' + '.join(parts)} make {added}; {total} is shown.")


def _sums(clip: Clip) -> tuple[tuple[tuple[str, ...], str], ...]:
    return clip.content.sums if isinstance(clip.content, Content) else ()


def _failure(clip: Clip, message: str) -> Finding:
    return Finding("numbers", "fail", message, _AGAIN, cue=clip.cue, frame=clip.full_frame)


def _set_figures(clip: Clip) -> tuple[tuple[str, str], ...]:
    return clip.content.set_figures if isinstance(clip.content, Content) else clip.figures


@dataclass(frozen=True, slots=True)
class _Shown:
    """The numbers of one clip."""

    results: Results
    clip: Clip
    read: frozenset[str]

    def _set(self, written: str) -> str:
        return typeset(written, decimal_mark=self.clip.stage.decimal_mark)

    def _fails(self, message: str) -> Finding:
        return _failure(self.clip, message)

    def figures(self, former: Mapping[tuple[str, str], str]) -> Iterator[Finding]:
        for key in dict.fromkeys(_set_figures(self.clip)):
            figure = self.results.figures.get(key)
            if figure is None or figure.value is None or self._set(figure.shown) in self.read:
                continue
            name = f"{key[0]} of {key[1]}"
            if key in former and self._set(former[key]) in self.read:
                yield self._fails(
                    f"{name} is shown as {former[key]}, which {figure.shown} has superseded."
                )
            else:
                yield self._fails(f"{name}, {figure.shown}, is not among the numbers shown.")

    def sums(self) -> Iterator[Finding]:
        yield from judge_sums(self.clip)
        for parts, total in _sums(self.clip):
            missing = [text for text in (*parts, total) if self._set(text) not in self.read]
            if missing:
                yield self._fails(f"{', '.join(missing)} cannot be read among the numbers shown.")

    def values(self) -> Iterator[Finding]:
        content = self.clip.content
        for text in content.values if isinstance(content, Content) else ():
            if self._set(text) not in self.read:
                yield self._fails(f"{text} of the traces is not among the numbers shown.")
