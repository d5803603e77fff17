"""Repeats: every run of one entry's test, which of them is shown, and how far apart they are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._measured import headline, place_of
from overlays.kinds._repeats_scene import RepeatRow, RepeatsContent, repeats_scene
from overlays.kinds._traces import left_out_reason, runs_text
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Figure, Results
from overlays.model.run import Repeats as Runs
from overlays.numbers import fixed, is_shown
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["Repeats"]

_MISSING = "–"
# More rows than this cannot be read.
_MOST = 12


@dataclass(frozen=True, kw_only=True)
class Repeats(Overlay[RepeatsContent]):
    """Every repeat of one entry's test on one scale, the run that is shown marked.

    Parameters
    ----------
    entry : str
        Whose runs they are.
    test : str
        Which test.
    figure : str
        A figure of that test; its main one where it is left out.
    from_zero : bool
        Whether the scale begins at zero, instead of being a close-up.
    title : str
        Instead of the entry's name and the figure's label.
    """

    kind: ClassVar[str] = "repeats"

    entry: str
    test: str
    figure: str = ""
    from_zero: bool = False
    title: str = ""

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        figures = (self.figure,) if self.figure else ()
        return (
            ("entry", (self.entry,), "entries"),
            ("test", (self.test,), "tests"),
            ("figure", figures, "figures"),
        )

    def content(self, results: Results) -> RepeatsContent:
        """Take the figure of every run.

        Raises
        ------
        OutlineError
            If the entry has no run of the test, the figure is none of its repeats or has no value
            at all, or there are too many runs to be read.
        """
        spec = results.session.spec
        key = self.figure or spec.tests[self.test].main
        runs, figure = self._found(results, key)
        rows = (*_used(runs, figure), *_left_out(runs))
        if len(rows) > _MOST:
            raise OutlineError(
                f"{len(rows)} runs cannot be read at once; at most {_MOST} can.",
                code="too-many-runs",
                field="test",
                remedy="Show the spread of this test in a result strip instead.",
            )
        entry = spec.entries[self.entry]
        return RepeatsContent(
            figures=((key, self.entry),),
            runs=tuple(run.ref.file for run in runs.runs),
            title=self.title or f"{entry.label}: {spec.figures[key].label}",
            caption=self._caption(results, runs, key),
            colour=place_of(results, self.entry),
            unit=symbol(figure.unit),
            rows=rows,
            apart=_apart(rows),
            from_zero=self.from_zero,
        )

    def _found(self, results: Results, key: str) -> tuple[Runs, Figure]:
        runs = results.repeats.get((self.entry, self.test))
        figure = results.figures.get((key, self.entry))
        if runs is None or figure is None or not runs.runs:
            raise OutlineError(
                f"there is no run of {self.entry!r} in the test {self.test!r}.",
                code="no-run",
                field="entry",
                remedy="Name a test that this entry has run.",
            )
        if self.test not in results.session.spec.tests_of(key) or (
            len(figure.repeats) != len(runs.runs)
        ):
            raise OutlineError(
                f"{key!r} is no figure of every run of {self.test!r}.",
                code="not-of-this-test",
                field="figure",
                remedy="Name a figure that is taken from this test alone.",
            )
        if not any(is_shown(value) for value in figure.repeats):
            raise OutlineError(
                f"no run of {self.entry!r} has the figure {key!r}: {figure.why_missing}.",
                code="no-figure",
                field="figure" if self.figure else "entry",
                remedy="Name another figure of this test, or another entry.",
            )
        return runs, figure

    def _caption(self, results: Results, runs: Runs, key: str) -> tuple[str, ...]:
        spec = results.session.spec
        main = spec.tests[self.test].main
        chosen = key != main and len(runs.runs) > 1
        test, label = spec.tests[self.test].label, spec.figures[key].label
        same = test.casefold() == label.casefold()
        return (
            "every run" if same else f"{test}: every run",
            *((f"shown: {runs_text((runs,))}",) if len(runs.runs) > 1 else ("one run only",)),
            *((f"chosen by {spec.figures[main].label}",) if chosen else ()),
        )

    @classmethod
    def lay_out(cls, content: RepeatsContent, stage: Stage, style: Style) -> Scene:
        """Draw the runs on their scale."""
        return repeats_scene(content, stage, style)

    @classmethod
    def describe(cls, content: RepeatsContent) -> str:
        """Say the value of every run, which one is shown, and why runs were left out."""
        unit = f" {content.unit}" if content.unit else ""
        told = []
        for row in content.rows:
            value = f"{row.text}{unit}" if row.value is not None else row.says
            said = f" ({row.says})" if row.value is not None and row.says else ""
            told.append(f"{row.name.lower()} {'left out: ' if row.struck else ''}{value}{said}")
        apart = f"; {content.apart}{unit} apart" if content.apart else ""
        return f"{headline(content.title)}: {', '.join(told)}{apart}."

    @classmethod
    def natural_s(cls, content: RepeatsContent) -> float:
        """Return the time for each run to come and be read."""
        return 4.5 + 1.1 * len(content.rows) + sum(len(row.says) / 18 for row in content.rows)


def _used(runs: Runs, figure: Figure) -> tuple[RepeatRow, ...]:
    return tuple(
        RepeatRow(
            name=f"Run {run.ref.repeat}",
            value=value if is_shown(value) else None,
            text=fixed(value, figure.places) if value is not None and is_shown(value) else _MISSING,
            says=_says(runs, figure, value, shown=run is runs.median_run),
            shown=run is runs.median_run and is_shown(value),
        )
        for run, value in zip(runs.runs, figure.repeats, strict=True)
    )


def _says(runs: Runs, figure: Figure, value: float | None, *, shown: bool) -> str:
    """Return what is said on a run's flag, or instead of its value."""
    if not is_shown(value):
        return "this figure could not be worked out"
    if not shown or len(runs.runs) == 1:
        return ""
    # Chosen by the test's main figure, the run shown need not be the middle one of another.
    known = sorted(v for v in figure.repeats if v is not None and is_shown(v))
    middle = len(known) % 2 == 1 and known[len(known) // 2] == value
    return "middle run, shown" if middle and not runs.remark else "the run shown"


def _left_out(runs: Runs) -> tuple[RepeatRow, ...]:
    return tuple(
        RepeatRow(
            name=f"Run {ref.repeat}",
            value=None,
            text="",
            says=_in_a_sentence(left_out_reason(ref)) or "no reason given",
            struck=True,
        )
        for ref in runs.left_out
    )


def _in_a_sentence(words: str) -> str:
    """Write words small at their beginning, unless they begin with an abbreviation."""
    return words[:1].lower() + words[1:] if words[1:2].islower() else words


def _apart(rows: Sequence[RepeatRow]) -> str:
    """Return the difference of the outermost numbers as shown; viewers do that subtraction."""
    shown = [Decimal(row.text) for row in rows if row.value is not None]
    return f"{max(shown) - min(shown):f}" if len(shown) > 1 else ""
