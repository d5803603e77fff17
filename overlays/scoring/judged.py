"""Repeats judged: how they scatter, which look off, and whether they are good enough."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from overlays.errors import Problems
from overlays.model.result import Figure, Results
from overlays.model.session import TestSpec
from overlays.numbers import fixed
from overlays.scoring.doubted import listed
from overlays.scoring.outliers import Flag, cochran_flag, flags_of
from overlays.scoring.spread import Repeatability, Spread, repeatability, spread_of
from overlays.scoring.trust import Trust
from overlays.units import is_offset, symbol

__all__ = ["JudgedRepeats", "OddRun", "judge_repeats", "warn_of_repeats"]


@dataclass(frozen=True, slots=True)
class OddRun:
    """A run that looks off among its fellows.

    Parameters
    ----------
    repeat : int
        Its number.
    text : str
        How far it is off and what says so, without a full stop.
    note : str
        What the bench noted of it; empty where it noted nothing.
    """

    repeat: int
    text: str
    note: str


@dataclass(frozen=True, slots=True)
class JudgedRepeats:
    """The repeats of one entry on one test, judged by the test's main figure.

    Parameters
    ----------
    entry, test, figure : str
        Keys; `figure` is the test's main one.
    n, planned : int
        Runs that have the figure, and runs planned.
    spread : Spread or None
        None where no run has the figure.
    repeatability : Repeatability or None
        Of the test, pooled over its entries; None where no entry has two repeats.
    flags : tuple of OddRun
        Runs that look off, one flag a run. None is ever left out because of a flag.
    left_out : tuple of str
        Runs left out by the bench, with the reasons.
    accepted : bool or None
        Whether the test's `accept` table is met; None where it has none.
    why : str
        In words, what `accepted` rests on.
    """

    entry: str
    test: str
    figure: str
    n: int
    planned: int
    spread: Spread | None
    repeatability: Repeatability | None
    flags: tuple[OddRun, ...]
    left_out: tuple[str, ...]
    accepted: bool | None
    why: str


def judge_repeats(results: Results) -> tuple[JudgedRepeats, ...]:
    """Judge the repeats of every entry on every test that was run."""
    return tuple(
        judged
        for test, spec in results.session.spec.tests.items()
        for judged in _judge_test(results, test, spec)
    )


def _judge_test(results: Results, test: str, spec: TestSpec) -> list[JudgedRepeats]:
    figures = {
        entry: results.figures[spec.main, entry]
        for entry in results.session.spec.entries
        if (entry, test) in results.repeats
    }
    groups = [figure.known for figure in figures.values()]
    pooled = repeatability(groups)
    scatter = cochran_flag(groups)
    judged = []
    for place, (entry, figure) in enumerate(figures.items()):
        repeats = results.repeats[entry, test]
        values = figure.known
        spread = spread_of(values) if values else None
        accepted, why = _accepted(spec, spread, figure.unit)
        uneven = scatter if scatter is not None and scatter.place == place else None
        judged.append(
            JudgedRepeats(
                entry=entry,
                test=test,
                figure=spec.main,
                n=len(values),
                planned=spec.repeats,
                spread=spread,
                repeatability=pooled,
                flags=_flags(results, figure, uneven),
                left_out=repeats.reasons(),
                accepted=accepted,
                why=why,
            )
        )
    return judged


def _flags(results: Results, figure: Figure, uneven: Flag | None) -> tuple[OddRun, ...]:
    runs = [
        run
        for run, value in zip(
            results.repeats[figure.entry, figure.test or ""].runs, figure.repeats, strict=True
        )
        if value is not None
    ]
    values = figure.known
    said: dict[int, list[str]] = {}
    for flag in flags_of(values):
        said.setdefault(flag.place, []).append(flag.words())
    if uneven is not None:
        middle = sorted(values)[(len(values) - 1) // 2]
        far = max(range(len(values)), key=lambda place: abs(values[place] - middle))
        said.setdefault(far, []).append(
            f"the entry scatters more than the others, {uneven.words()}"
        )
    return tuple(
        OddRun(
            runs[place].ref.repeat,
            f"run {runs[place].ref.repeat} is {_from_others(figure, values, place)}: "
            + "; ".join(words),
            runs[place].ref.note,
        )
        for place, words in said.items()
    )


def _from_others(figure: Figure, values: Sequence[float], place: int) -> str:
    others = [value for other, value in enumerate(values) if other != place]
    away = abs(values[place] - spread_of(others).mean)
    # One decimal more than shown: what is flagged may be smaller than the last digit.
    return f"{fixed(away, figure.places + 1)} {symbol(figure.unit)} from the rest".replace(
        "  ", " "
    )


def _accepted(spec: TestSpec, spread: Spread | None, unit: str) -> tuple[bool | None, str]:
    """Judge repeats the way UN R117 does a wet-grip test: enough runs, and little variation."""
    rule = spec.accept
    if rule is None:
        return None, ""
    n = spread.n if spread else 0
    if n < rule.runs:
        return False, f"{n} of at least {rule.runs} valid runs"
    if rule.variation is None or spread is None:
        return True, f"{n} valid runs"
    most = rule.variation.to("%")
    if is_offset(unit):
        return False, f"no coefficient of variation in {symbol(unit)}, which has no true zero"
    if spread.variation is None:
        return False, "no coefficient of variation from one run, or from a mean of 0"
    found = spread.variation * 100
    sign = "≤" if found <= most else ">"
    return found <= most, f"coefficient of variation {found:.2f} % {sign} {most:g} %"


def warn_of_repeats(
    results: Results, problems: Problems, *, poor: Mapping[tuple[str, str], Trust] | None = None
) -> frozenset[tuple[str, str]]:
    """Record a warning for every odd run and every set of repeats that is not good enough.

    Parameters
    ----------
    results : Results
        What was worked out.
    problems : Problems
        Receives the warnings.
    poor : Mapping[tuple[str, str], Trust], optional
        By (figure, entry), figures too uncertain for their digits: an odd run's warning names
        those that it stands behind.

    Returns
    -------
    frozenset of (figure, entry)
        Those of `poor` that a warning has named.
    """
    session = results.session
    named: set[tuple[str, str]] = set()
    for judged in judge_repeats(results):
        who, line = f"{judged.entry} on {judged.test}", session.line("tests", judged.test)
        affected = [
            key
            for key, entry in poor or {}
            if entry == judged.entry and judged.test in session.spec.tests_of(key)
        ]
        for odd in judged.flags:
            noted = f" The bench noted: {odd.note.rstrip('.')}." if odd.note else ""
            effect = (
                f" It leaves {listed(affected)} less certain than the digits shown claim."
                if affected
                else ""
            )
            named.update((key, judged.entry) for key in affected)
            problems.warn(
                "odd-run",
                f"{who}: {odd.text}.{noted}{effect}",
                remedy="Look at the run; leave it out only for a reason of the bench's own.",
                file="session.toml",
                line=line,
            )
        if judged.accepted is False:
            problems.warn(
                "not-accepted",
                f"{who}: the repeats do not meet the test's rule: {judged.why}.",
                remedy="Run it again, or say so on screen.",
                file="session.toml",
                line=line,
            )
    return frozenset(named)
