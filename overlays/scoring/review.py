"""What a person should know before trusting figures and standings."""

from __future__ import annotations

from collections.abc import Sequence

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.scoring.digits import poor_digits, warn_of_digits
from overlays.scoring.doubted import warn_of_doubts
from overlays.scoring.judged import warn_of_repeats
from overlays.scoring.ledger import LedgerRow
from overlays.scoring.limits import warn_of_limits
from overlays.scoring.order import how_sure, tipping_weights
from overlays.scoring.standings import new_bests

__all__ = ["review_results", "standings_notes"]


def review_results(results: Results, problems: Problems) -> None:
    """Record what the traces, the repeats, the uncertainties and the limits give cause to look at.

    Parameters
    ----------
    results : Results
        What was worked out.
    problems : Problems
        Receives a warning for each doubtful trace, odd run, set of repeats that is not good
        enough, figure shown with more digits than it supports, and limit not met.
    """
    warn_of_doubts(results, problems)
    poor = poor_digits(results)
    explained = warn_of_repeats(results, problems, poor=poor)
    warn_of_digits(results, problems, explained=explained)
    warn_of_limits(results, problems)


def standings_notes(results: Results, ledger: Sequence[LedgerRow]) -> tuple[str, ...]:
    """Return the sentences that belong below a table of standings.

    New bests by name, figures that are missing, how sure the order is, and the weight that first
    place hangs on most.
    """
    notes = [best.sentence() for best in new_bests(results)]
    notes += _missing(results)
    notes.append(how_sure(results, ledger).sentence)
    tipping = [one for one in tipping_weights(results) if one.factor is not None]
    if tipping:
        notes.append(min(tipping, key=lambda one: abs((one.factor or 0.0) - 1)).sentence)
    return tuple(notes)


def _missing(results: Results) -> list[str]:
    spec = results.session.spec
    notes = []
    for standing in results.standings:
        row = standing.row
        labels = [
            f"“{column.label or spec.figures[column.figure].label}”"
            for key, column in spec.points.items()
            if row.points[key] is None
        ]
        if labels and row.score is not None:
            notes.append(f"{row.name} has no points for {', '.join(labels)}: nothing to score.")
    return notes
