"""The gap between two entries as people and scripts read it."""

from __future__ import annotations

import csv
import io
import json

import pytest

from overlays.errors import FigureError, Problems
from overlays.model.result import Results
from overlays.scoring.gap import gap_between
from overlays.scoring.gap_text import gap_text
from tests.scoring.building import TOML, results, session

COMMA = TOML.replace('rate = "25"', 'rate = "25"\ndecimal_mark = ","')
ASH, BIRCH = [50.0, 50.4, 49.8], [40.0, 40.2, 39.9]


def held(ash: list[float], birch: list[float], *, toml: str = TOML) -> Results:
    """Return results of the test ``hold`` for both entries."""
    values = {("ash", "hold"): ash, ("birch", "hold"): birch}
    return results(session(toml=toml), values, Problems())


def test_the_sentence_comes_first_then_what_it_rests_on() -> None:
    """By hand: variances 0.0933 and 0.0233, whose mean is that of s_r = 0.2415."""
    text = gap_text(held(ASH, BIRCH), "held", "ash", "birch", how="table")
    lines = text.splitlines()
    assert lines[0] == gap_between(held(ASH, BIRCH), "held", "ash", "birch").sentence
    told = {line.split("  ")[0]: line.split("  ")[-1].strip() for line in lines[4:]}
    assert told["runs"] == "ash 3, birch 3"
    assert told["repeatability standard deviation"] == "0.242 N"
    # Student's 2.776 for four degrees of freedom times s_r·√(2/3).
    assert told["critical difference (ISO 5725-6, 95 %)"] == "0.548 N"
    assert told["mean of ash minus mean of birch"] == "10.033 N"
    assert told["exact permutation p"] == "0.100"
    assert told["real"] == "yes"


def test_scripts_get_numbers_and_nulls() -> None:
    """JSON is whole with repeats, and null where single runs cannot tell."""
    told = json.loads(gap_text(held(ASH, BIRCH), "held", "birch", "ash", how="json"))
    assert (told["difference"], told["unit"], told["ahead"]) == (-10.0, "N", "ash")
    low, high = told["welch_interval"]
    assert low < told["difference_of_means"] < high < 0
    single = json.loads(gap_text(held([50.0], [40.0]), "held", "ash", "birch", how="json"))
    assert (single["n"], single["critical_difference"], single["real"]) == ([1, 1], None, None)
    assert single["welch_interval"] is None


def test_csv_keeps_the_point_and_people_get_the_comma() -> None:
    """The decimal mark is the session's for people only."""
    of = held(ASH, BIRCH, toml=COMMA)
    rows = dict(csv.reader(io.StringIO(gap_text(of, "held", "ash", "birch", how="csv"))))
    assert rows["repeatability standard deviation"] == "0.242 N"
    assert "0,242 N" in gap_text(of, "held", "ash", "birch", how="md")


@pytest.mark.parametrize(
    ("figure", "a", "b", "says"),
    [
        ("hold", "ash", "birch", "no figure 'hold'"),
        ("held", "ash", "oak", "no entry 'oak'"),
        ("held", "ash", "ash", "both are 'ash'"),
        ("pulled", "ash", "birch", "missing"),
    ],
)
def test_what_cannot_be_compared_is_one_error(figure: str, a: str, b: str, says: str) -> None:
    """Unknown names, an entry against itself, a figure that is not there; each with a remedy."""
    with pytest.raises(FigureError, match=says) as caught:
        gap_text(held(ASH, BIRCH), figure, a, b, how="table")
    assert caught.value.remedy
