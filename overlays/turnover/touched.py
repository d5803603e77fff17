"""What a re-test or an erratum touched: figures, sentences, cues, past episodes."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from overlays.errors import Problems, TurnoverError
from overlays.model.result import Figure, Results
from overlays.outline.resay import Resay, resay
from overlays.plan import Episode, plan_episode
from overlays.scoring.layout import TextFormat
from overlays.scoring.results import season_ledger
from overlays.scoring.touched import changes_between, changes_in_ledger, touched_by, touched_text

__all__ = ["figures_of_turnover", "what_was_touched"]

_FIGURES = "figures.csv"


def what_was_touched(episode: Episode, since: Path | None, how: TextFormat) -> str:
    """Tell what the figures of today change against those of before.

    Parameters
    ----------
    episode : Episode
        As measured now.
    since : Path, optional
        A turnover made before. Without it, the season's ledger says what was.
    how : {"table", "csv", "md"}
        Format of the list. As a table, the sentences to say again stand below it, with the
        places where a pick-up recording goes in.

    Raises
    ------
    TurnoverError
        If the turnover's figures cannot be read.
    """
    results = episode.results
    problems = Problems()
    ledger = season_ledger(results.session, problems)
    before = results if since is None else figures_of_turnover(results, since)
    changes = (
        changes_in_ledger(results, ledger) if since is None else changes_between(before, results)
    )
    shown = {clip.cue: clip.figures for clip in plan_episode(episode, problems, codec="png")}
    number = results.session.spec.episode.number
    touched = touched_by(
        changes, outline=episode.outline, shown_by=shown, ledger=ledger, episode=number
    )
    text = touched_text(touched, how)
    again = resay(episode.outline, before, results)
    return text + _to_say(again, episode) if how == "table" else text


def _to_say(again: tuple[Resay, ...], episode: Episode) -> str:
    timebase = episode.outline.timebase
    lines = []
    for one in again:
        end = one.first_frame + one.frames
        lines += [
            (
                f"say again, {timebase.label(one.first_frame)} to {timebase.label(end)}, "
                f"line {one.line}:"
            ),
            f"    was: {one.before}",
            f"    now: {one.now}",
        ]
    return "".join(f"{line}\n" for line in lines)


def figures_of_turnover(results: Results, folder: Path) -> Results:
    """Return results with the figures that a turnover made before had.

    Parameters
    ----------
    results : Results
        Of the session as it is now.
    folder : Path
        The turnover; its ``figures.csv`` is read.

    Raises
    ------
    TurnoverError
        If there is none, or it is not one of ours.
    """
    rows = _rows(folder / _FIGURES)
    figures = {place: _former(figure, rows.get(place)) for place, figure in results.figures.items()}
    return replace(results, figures=figures)


def _rows(file: Path) -> Mapping[tuple[str, str], str]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as stream:
            return {(row["figure"], row["entry"]): row["value"] for row in csv.DictReader(stream)}
    except (OSError, UnicodeDecodeError, csv.Error, KeyError) as error:
        raise TurnoverError(
            f"{file.name} of the turnover cannot be read: {error}.",
            code="unreadable-figures",
            file=file.name,
            remedy="Name the folder of a turnover made before.",
        ) from error


def _former(figure: Figure, shown: str | None) -> Figure:
    """Return a figure as it was shown; a value that was missing is missing."""
    if shown is None:
        return figure
    try:
        value = float(shown)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        return replace(figure, value=None, shown=shown)
    return replace(figure, value=value, shown=shown)
