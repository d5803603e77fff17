"""What kinds that compare entries take from results: whom to show, in which order, from what."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from overlays.errors import OutlineError
from overlays.kinds._traces import runs_text
from overlays.model.pointspec import PenaltyPoints, PointsSpec
from overlays.model.result import Figure, Results, ScoreRow
from overlays.model.spec import Better
from overlays.scoring.gap import Gap

__all__ = [
    "best_first",
    "figures_of",
    "headline",
    "median_files",
    "most_points",
    "place_of",
    "runs_caption",
    "score_text",
    "spread_of_repeats",
    "verdict_words",
]


# More rows or labels than this cannot be read.
_MOST = 16


def figures_of(results: Results, figure: str, entries: Sequence[str]) -> tuple[Figure, ...]:
    """Return a figure of each entry, of all in the session where none is named.

    Raises
    ------
    OutlineError
        If none of them has it, or they are too many to be read.
    """
    wanted = entries or tuple(results.session.spec.entries)
    found = tuple(
        results.figures[figure, entry] for entry in wanted if (figure, entry) in results.figures
    )
    if all(one.value is None for one in found):
        why = "; ".join(f"{one.entry}: {one.why_missing}" for one in found if one.why_missing)
        raise OutlineError(
            f"no entry of this cue has the figure {figure!r}{f' ({why})' if why else ''}.",
            code="no-figure",
            field="entries" if entries else "figure",
            remedy="Name a figure whose test has been run, or other entries.",
        )
    if len(found) > _MOST:
        raise OutlineError(
            f"{len(found)} entries cannot be read at once; at most {_MOST} can.",
            code="too-many-entries",
            field="entries",
            remedy="Name those that matter here.",
        )
    return found


def best_first(figures: Iterable[Figure], better: Better) -> tuple[Figure, ...]:
    """Sort figures by the number as shown, missing ones last; equal ones keep their order."""
    sign = -1 if better == "higher" else 1

    def key(figure: Figure) -> tuple[bool, Decimal]:
        missing = figure.value is None
        return missing, Decimal(0) if missing else sign * Decimal(figure.shown)

    return tuple(sorted(figures, key=key))


def median_files(results: Results, figures: Iterable[Figure]) -> tuple[str, ...]:
    """Return the log files of the median runs behind figures, each once."""
    keys = [(one.entry, one.test) for one in figures if one.test is not None]
    return tuple(
        dict.fromkeys(
            results.repeats[entry, test].median_run.ref.file
            for entry, test in keys
            if (entry, test) in results.repeats
        )
    )


def runs_caption(results: Results, figures: Iterable[Figure]) -> tuple[str, ...]:
    """Say how many runs stand behind figures; nothing where no runs do."""
    keys = dict.fromkeys((one.entry, one.test) for one in figures if one.test is not None)
    repeats = [results.repeats[key] for key in keys if key in results.repeats]
    return (runs_text(repeats),) if repeats else ()


def spread_of_repeats(figure: Figure) -> tuple[float, float] | None:
    """Return the lowest and the highest repeat; None with fewer than two."""
    return (min(figure.known), max(figure.known)) if len(figure.known) > 1 else None


def most_points(points: PointsSpec) -> Decimal:
    """Return the most a points column gives, or, negative, takes away."""
    most = Decimal(str(points.most)) * Decimal(str(points.weight))
    return -most if isinstance(points, PenaltyPoints) else most


def score_text(row: ScoreRow | None) -> str | None:
    """Return a score as `overlays.numbers.fixed` writes it; None where there is none."""
    return None if row is None or row.score is None else f"{row.score:f}"


def place_of(results: Results, entry: str) -> int:
    """Return an entry's place in the session, which its colour follows."""
    return list(results.session.spec.entries).index(entry)


def headline(label: str) -> str:
    """Return a label as a title is written."""
    return label[:1].upper() + label[1:]


def verdict_words(results: Results, gap: Gap) -> str:
    """Say in few words whether a gap is real; `Gap.sentence` says it in more."""
    if gap.ahead is None:
        return "level as shown"
    if not results.session.spec.tests_of(gap.figure):
        return ""  # nothing measured: there is no chance in it
    if gap.real is None:
        return gap.reason
    uneven = "" if gap.n_a == gap.n_b else f" on {gap.n_a} and {gap.n_b} runs"
    if not gap.real:
        return f"within chance{uneven}: call it a tie"
    return f"beyond chance{uneven}"
