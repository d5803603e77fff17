"""Judging one claim at a time."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.numbers import fixed
from overlays.outline.speech.claims import Claim, find_claims
from overlays.outline.speech.judgement import Hints, judge, stems
from overlays.outline.speech.known import Knowledge
from tests.outline.bench import make_results, make_session


@pytest.fixture(scope="module")
def knowledge(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    """Return what the little bench knows."""
    return Knowledge(make_results(make_session(tmp_path_factory.mktemp("session"))))


def _claim(text: str, knowledge: Knowledge) -> Claim:
    (claim,) = find_claims(text, knowledge.lexicon)
    return claim


def test_a_shared_word_decides_between_equals(knowledge: Knowledge) -> None:
    """108 % is borne out by Dune and by the claim; the sentence says which is meant."""
    claim = _claim("108 percent", knowledge)
    for word, label in (("claimed", "claimed of Alder"), ("dune", "Mean torque of Dune")):
        judged = judge(
            claim, knowledge, named=("alder",), hints=Hints(stems(f"108 percent of the {word}"))
        )
        assert judged.verdict == "supported"
        assert judged.candidate is not None
        assert label in judged.candidate.label


def test_the_script_decides_what_a_wrong_number_was_about(knowledge: Knowledge) -> None:
    """Of two figures as near, the one that the beat's references draw on is contradicted."""
    claim = _claim("72 newton metres", knowledge)
    for figure in ("cold_mean", "wet_mean"):
        hints = Hints(figures=frozenset({(figure, "alder")}))
        judged = judge(claim, knowledge, named=("alder",), hints=hints)
        assert judged.verdict == "contradicted"
        assert judged.candidate is not None
        assert judged.candidate.figures == ((figure, "alder"),)


def test_far_away_is_something_else(knowledge: Knowledge) -> None:
    """A number more than twice off contradicts only where its sentence names the entry."""
    claim = _claim("300 newton metres", knowledge)
    assert judge(claim, knowledge, named=()).verdict == "unsupported"
    assert judge(claim, knowledge, named=("alder",)).verdict == "contradicted"


def test_a_dimension_nobody_measured_is_unsupported(knowledge: Knowledge) -> None:
    """Without anything of the kind there is nothing to contradict it, and nothing to show."""
    judged = judge(_claim("12 kilowatts", knowledge), knowledge, named=("alder",))
    assert (judged.verdict, judged.candidate) == ("unsupported", None)


def test_without_any_entry_there_is_no_remark_about_one(tmp_path: Path) -> None:
    """Where no entry was spoken of, everyone's figures are asked."""
    knowledge = Knowledge(make_results(make_session(tmp_path)))
    judged = judge(_claim("80.1 N·m", knowledge), knowledge, named=())
    assert (judged.verdict, judged.remark) == ("supported", "")


@given(
    value=st.floats(min_value=1, max_value=5000),
    places=st.integers(0, 3),
)
def test_what_is_shown_is_supported_when_said(value: float, places: int) -> None:
    """Any figure, said as it is shown, is supported by itself."""
    session = make_session(Path("nowhere"))
    knowledge = Knowledge(make_results(session, {("cold_mean", "alder"): value}))
    claim = _claim(f"{fixed(value, places)} newton metres", knowledge)
    judged = judge(claim, knowledge, named=("alder",), hints=Hints(stems("mean torque")))
    assert judged.verdict == "supported"


@given(value=st.floats(min_value=100, max_value=5000), off=st.floats(min_value=0.03, max_value=0.4))
def test_what_is_off_is_contradicted(value: float, off: float) -> None:
    """A number three percent or more beside the only figures of its kind is never supported."""
    session = make_session(Path("nowhere"))
    figures = {("cold_mean", "alder"): value, ("wet_mean", "alder"): value}
    knowledge = Knowledge(make_results(session, dict(figures)))
    claim = _claim(f"{fixed(value * (1 + off), 1)} newton metres", knowledge)
    assert judge(claim, knowledge, named=("alder",)).verdict == "contradicted"
