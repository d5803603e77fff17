"""Numbers of all clips against the results: as measured, adding up, nothing superseded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from overlays.checks.judge_plan import judge_plan
from overlays.checks.numbers import judge_numbers
from overlays.kinds._curve_content import CurvesContent
from overlays.kinds._score_content import ScoreUpdateContent
from overlays.model.clip import Clip
from overlays.model.result import Results
from tests.checks.clips import clip_of
from tests.kinds.conftest import content_of, make_results

# What an attentive viewer reads on the last frame of each clip.
CARD = ("70.2", "94")
SCORE = ("70.2", "30.0", "94", "13.6", "43.6", "1")


def clips_of(results: Results) -> list[Clip]:
    card = content_of(results, "lower_third", entry="alder", figures=["mean", "kept"])
    score = content_of(results, "score_update", entry="alder")
    return [
        replace(clip_of("lower_third", card), cue="card"),
        replace(clip_of("score_update", score), cue="score"),
    ]


def failures(
    results: Results, clips: Sequence[Clip], read: Mapping[str, Sequence[str]]
) -> list[tuple[str | None, str]]:
    found = judge_numbers(results, clips, read)
    return [(item.cue, item.message) for item in found if item.verdict == "fail"]


def test_what_was_measured_passes_and_is_counted() -> None:
    """Two figures, both in two clips; the finding is about the whole episode."""
    results = make_results()
    (found,) = judge_numbers(results, clips_of(results), {"card": CARD, "score": SCORE})
    assert found.verdict == "pass"
    assert found.cue is None
    assert found.message.startswith("2 figures are shown as they were measured, 2 of them in")


@pytest.mark.parametrize(
    ("card", "said"),
    [
        (("70.3", "94"), "mean of alder, 70.2, is not among the numbers shown."),
        (("58.4", "94"), "mean of alder is shown as 58.4, which 70.2 has superseded."),
    ],
)
def test_another_value_of_a_figure_is_found_out(card: tuple[str, ...], said: str) -> None:
    """A wrong number, and the one of an earlier episode, are told with their clip."""
    results = make_results()
    found = failures(results, clips_of(results), {"card": card, "score": SCORE})
    assert found == [("card", said)]


def test_a_clip_that_was_not_read_is_not_judged() -> None:
    """Nothing is claimed of a clip whose file could not be looked at."""
    results = make_results()
    assert not failures(results, clips_of(results), {"score": SCORE})


def test_a_sum_has_to_add_up_and_to_be_there() -> None:
    """A total that is off by a tenth, and one that is not in the picture, are told."""
    results = make_results()
    clip = clips_of(results)[1]
    read = {"score": [text for text in SCORE if text != "43.6"]}
    assert failures(results, [clip], read) == [
        ("score", "43.6 cannot be read among the numbers shown.")
    ]
    content = clip.content
    assert isinstance(content, ScoreUpdateContent)

    class Lying(ScoreUpdateContent):
        @property
        def sums(self) -> tuple[tuple[tuple[str, ...], str], ...]:
            return ((("30.0", "13.6"), "43.7"),)

    lie = Lying(**{name: getattr(content, name) for name in content.__dataclass_fields__})
    told = failures(results, [replace(clip, content=lie)], {"score": (*SCORE, "43.7")})
    assert told == [("score", "30.0 + 13.6 make 43.6; 43.7 is shown.")]
    assert ahead(results, replace(clip, content=lie)) == ["score"]
    assert ahead(results, clip) == []


def ahead(results: Results, clip: Clip) -> list[str | None]:
    """Return the cues whose numbers are found wrong before anything is drawn."""
    return [item.cue for item in judge_plan(results, [clip]) if item.check == "numbers"]


def test_curves_end_at_the_values_of_their_traces() -> None:
    """The last value of every curve and the gap have to be read in the picture."""
    results = make_results()
    content = content_of(results, "curves", test="cold", gap=["alder", "dune"], gap_at="3 s")
    assert isinstance(content, CurvesContent)
    clip = clip_of("curves", content)
    assert len(content.values) == 5
    assert not failures(results, [clip], {"a-cue": content.values})
    (told,) = failures(results, [clip], {"a-cue": content.values[1:]})
    assert told[1] == f"{content.values[0]} of the traces is not among the numbers shown."


def test_a_row_of_the_standings_that_does_not_add_up_is_told() -> None:
    """A score is the sum of the points as shown."""
    results = make_results()
    first = results.standings[0]
    wrong = replace(first, row=replace(first.row, score=Decimal("43.5")))
    results = replace(results, standings=(wrong, *results.standings[1:]))
    assert failures(results, [], {}) == [
        (None, "the points of 'Alder' are 43.6 in all; its score is 43.5.")
    ]
    (told,) = judge_plan(results, [])
    assert told.stops
