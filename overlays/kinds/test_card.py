"""Test card: what is tested now, how long, how often, and what of it counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import Field

from overlays.draw.patch import Scene
from overlays.errors import OutlineError
from overlays.kinds._measured import headline, most_points
from overlays.kinds._pictured import logo
from overlays.kinds._test_content import Counted, TestCardContent, windows_of
from overlays.kinds._test_scene import scene_of_test
from overlays.kinds.base import Overlay
from overlays.model.clip import Stage
from overlays.model.result import Results
from overlays.style.house import Style
from overlays.units import symbol

__all__ = ["TestCard"]

# More cannot be read at once.
_MOST_ROWS, _MOST_WINDOWS = 5, 4


@dataclass(frozen=True, kw_only=True)
class TestCard(Overlay[TestCardContent]):
    """What is tested now: the test's length along a rule, its runs, and what counts.

    Parameters
    ----------
    test : str
        Which test.
    columns : tuple of str
        Points columns that this test counts towards; all of them where it is left out.
    title : str
        Instead of the test's label.
    logo : bool
        Whether the episode's logo is shown, if it has one.
    """

    kind: ClassVar[str] = "test_card"
    __test__ = False  # pytest would collect a class of this name

    test: str
    columns: Annotated[tuple[str, ...], Field(max_length=_MOST_ROWS)] = ()
    title: str = ""
    logo: bool = True

    def names(self) -> Iterable[tuple[str, Sequence[str], str]]:
        """Return what the options name."""
        return (("test", (self.test,), "tests"), ("columns", self.columns, "points"))

    def content(self, results: Results) -> TestCardContent:
        """Take what the session says of the test.

        Raises
        ------
        OutlineError
            If a column named is not counted from this test, or there is too much to be read.
        SessionError
            If the logo cannot be read.
        """
        spec = results.session.spec
        test = spec.tests[self.test]
        columns = self._columns(results)
        figures = tuple(dict.fromkeys(spec.points[key].figure for key in columns)) or (test.main,)
        windows = windows_of(spec, self.test, figures)
        if len(windows) > _MOST_WINDOWS:
            raise OutlineError(
                f"figures of this test are taken from {len(windows)} stretches of it; at most "
                f"{_MOST_WINDOWS} can be read at once.",
                code="too-many-windows",
                field="columns",
                remedy="Name the columns that matter here.",
            )
        runs = {key: results.repeats.get((key, self.test)) for key in spec.entries}
        counts = {key: len(found.runs) if found else 0 for key, found in runs.items()}
        return TestCardContent(
            figures=(),
            runs=(),
            title=self.title or test.label,
            method=test.method,
            caution=test.caution,
            counts=test.counts,
            length=(
                test.length.value,
                f"{test.length.value:.{test.length.places}f}",
                symbol(test.length.unit),
            ),
            repeats=test.repeats,
            fewer=tuple(
                (spec.entries[key].label, count)
                for key, count in counts.items()
                if any(counts.values()) and count < test.repeats
            ),
            entries=tuple(entry.label for entry in spec.entries.values()),
            windows=windows,
            rows=self._rows(results, columns),
            logo=logo(results) if self.logo else None,
        )

    def _columns(self, results: Results) -> tuple[str, ...]:
        """Return the points columns that this test counts towards."""
        spec = results.session.spec
        counted = tuple(
            key for key, points in spec.points.items() if self.test in spec.tests_of(points.figure)
        )
        for key in self.columns:
            if key not in counted:
                raise OutlineError(
                    f"{key!r} is not counted from {self.test!r}; counted are: "
                    f"{', '.join(counted) or 'none'}.",
                    code="not-of-this-test",
                    field="columns",
                    remedy="Name one of these, or another test.",
                )
        if not self.columns and len(counted) > _MOST_ROWS:
            raise OutlineError(
                f"{len(counted)} columns are counted from {self.test!r}; at most {_MOST_ROWS} can "
                "be read at once.",
                code="too-many-columns",
                field="test",
                remedy="Name the columns that matter here.",
            )
        return self.columns or counted

    def _rows(self, results: Results, columns: tuple[str, ...]) -> tuple[Counted, ...]:
        spec = results.session.spec
        if not columns:
            main = spec.figures[spec.tests[self.test].main]
            return (Counted(main.label, f"{main.better} is better", ""),)
        scored = [(spec.points[key], spec.figures[spec.points[key].figure]) for key in columns]
        return tuple(
            Counted(
                points.label or figure.label,
                f"{figure.better} is better",
                f"{most_points(points).normalize():f}",
            )
            for points, figure in scored
        )

    @classmethod
    def lay_out(cls, content: TestCardContent, stage: Stage, style: Style) -> Scene:
        """Draw the card."""
        return scene_of_test(content, stage, style)

    @classmethod
    def describe(cls, content: TestCardContent) -> str:
        """Say the test, its length, its runs, and what counts for how much."""
        who = ", ".join(content.entries)
        runs = "one run" if content.repeats == 1 else f"{content.repeats} runs"
        fewer = "".join(f"; {name}: {count}" for name, count in content.fewer)
        told = [
            ", ".join((row.label, row.better, *((f"{row.most} points",) if row.most else ())))
            for row in content.rows
        ]
        length = f"{content.length[1]} {content.length[2]}"
        said = f"{content.title}: {length}, {runs} each of {who}{fewer}"
        caution = content.caution and f"Caution: {content.caution}"
        counts = content.counts and f"What counts: {content.counts}"
        texts = (said, content.method, caution, counts, *map(headline, told))
        return " ".join(f"{text.rstrip('.')}." for text in texts if text)

    @classmethod
    def natural_s(cls, content: TestCardContent) -> float:
        """Return the time for the card to come and its words to be read."""
        said = [content.title, content.method, content.caution, content.counts]
        said += [window.label for window in content.windows]
        said += [f"{row.label} {row.better} {row.most} points" for row in content.rows]
        said += [f"{name} {count}" for name, count in content.fewer]
        return 5.0 + len(" ".join(said).split()) / 3.5
