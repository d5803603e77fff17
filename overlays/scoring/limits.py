"""Whether a figure meets the limit it has to."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from overlays.errors import Problems
from overlays.model.result import Results
from overlays.units import symbol

__all__ = ["Verdict", "verdict_of", "warn_of_limits"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a figure as shown meets its limit, and why, in words."""

    met: bool
    words: str


def verdict_of(results: Results, key: str, entry: str) -> Verdict | None:
    """Judge a figure of an entry by its `limit` table.

    What is judged is the value as shown: what viewers see is what counts.

    Returns
    -------
    Verdict or None
        None where the figure has no limit, or is missing.

    Raises
    ------
    UnitError
        If the limit's unit does not fit the figure's.
    """
    figure = results.figures[key, entry]
    limit = results.session.spec.figures[key].limit
    if limit is None or figure.value is None:
        return None
    value, unit = Fraction(figure.shown), figure.unit
    failed: list[str] = []
    met: list[str] = []
    for name, words, holds in (
        ("above", "above", value.__gt__),
        ("at_least", "at least", value.__ge__),
        ("below", "below", value.__lt__),
        ("at_most", "at most", value.__le__),
    ):
        bound = getattr(limit, name)
        if bound is None:
            continue
        text = f"{words} {bound.value:g} {symbol(bound.unit)}".rstrip()
        (met if holds(Fraction(str(bound.to(unit)))) else failed).append(text)
    shown = f"{figure.shown} {symbol(unit)}".rstrip()
    if failed:
        return Verdict(met=False, words=f"{shown} is not {' and not '.join(failed)}")
    return Verdict(met=True, words=f"{shown} is {' and '.join(met)}")


def warn_of_limits(results: Results, problems: Problems) -> None:
    """Record a warning for each figure that does not meet its limit."""
    session = results.session
    for key, spec in session.spec.figures.items():
        line = session.line("figures", key, "limit")
        if spec.limit is None:
            continue
        with problems.collecting(file="session.toml", line=line, field=f"figures.{key}.limit"):
            for entry in session.spec.entries:
                verdict = verdict_of(results, key, entry)
                if verdict is not None and not verdict.met:
                    problems.warn(
                        "limit-not-met",
                        f"{key} of {entry}: {verdict.words}.",
                        remedy="Say so on screen, or check the run.",
                        file="session.toml",
                        line=line,
                    )
