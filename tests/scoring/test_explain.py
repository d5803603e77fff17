"""Derivations that can be worked out again by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

from overlays.errors import LedgerError, Problems
from overlays.model.result import Results
from overlays.scoring.explain import explain_text, explained
from overlays.scoring.standings import season_standings
from tests.scoring.building import TOML, ledger_row, results, session
from tests.scoring.test_season_history import POINTS, invented_season

COLUMNS = """
[figures.per_price]
label = "per price"
take = "ratio"
of = "held"
by = "price"
places = 2

[figures.slip]
label = "slip"
take = "difference"
of = "pulled"
by = "held"

[figures.costs]
label = "price"
take = "attribute"
attribute = "cost"
better = "lower"

[points.held]
figure = "held"
most = 40

[points.per_price]
label = "value"
figure = "per_price"
most = 20
weight = 1.5

[points.pulled]
figure = "pulled"
rule = "line"
most = 15
none_at = "20 N"
most_at = "100 N"

[points.slip]
figure = "slip"
rule = "penalty"
most = 5
none_at = "0 N"
most_at = "50 N"

[points.claim]
label = "claim"
figure = "held"
rule = "share_of_claim"
claim = "claimed"
most = 10

[points.price]
figure = "costs"
rule = "steps"
most = 10
steps = [["15 EUR", 10], ["25 EUR", 4]]
"""
PRICED = TOML.replace('price = "10.00 EUR"', 'price = "10.00 EUR", cost = "10 EUR"')
LEDGER = [ledger_row(1, "cedar", "held", "52.0"), ledger_row(2, "birch", "held", "33.3")]


def found() -> Results:
    toml = PRICED.replace('"mean"', '"mean"\nstart = "1 s"\nend = "3 s"')
    one = session(COLUMNS, toml=toml)
    values = {("ash", "hold"): [49.0, 50.26, 47.0], ("ash", "pull"): [70.0]}
    own = results(one, values, Problems())
    return replace(own, standings=season_standings(one, own.figures, LEDGER, Problems()))


def by_hand(sum_up: str) -> Fraction:
    """Work out a sum of numbers, ×, / and brackets, from left to right within brackets."""
    inner = re.sub(r"\(([^()]*)\)", lambda match: str(by_hand(match[1])), sum_up)
    total, sign = Fraction(0), 1
    negative = inner.startswith("-")
    for term in re.split(r"\s([+-])\s", inner.lstrip("-")):
        if term in {"+", "-"}:
            sign = 1 if term == "+" else -1
            continue
        parts = re.split(r"\s([×/])\s", term)
        value = Fraction(parts[0])
        for operator, part in zip(parts[1::2], parts[2::2], strict=True):
            value = value * Fraction(part) if operator == "×" else value / Fraction(part)
        total += sign * value
    return -total if negative else total


def test_by_hand_is_what_a_calculator_does() -> None:
    """The test's own calculator, tested."""
    assert by_hand("3 / 4 × 2") == Fraction(3, 2)
    assert by_hand("-(5 - 1) / (3 - 1) × 2") == -4
    assert by_hand("1.5 + 2.5 - 1") == 3


def test_every_point_is_derived_by_its_own_line() -> None:
    """The formula with its numbers, worked out by hand and rounded, is the point shown."""
    stories = explained(found(), LEDGER, "ash")
    assert len(stories) > 1
    for story in stories:
        if story.column == "price":
            continue
        match = re.match(r"(.*) = (-?[\d.]+) \(", story.lines[-1])
        assert match is not None, story.lines
        exact = by_hand(match[1])
        near = Decimal(exact.numerator) / Decimal(exact.denominator)
        assert near.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP) == Decimal(match[2])
        assert Decimal(match[2]) == story.points


def test_the_total_is_the_sum_of_its_line() -> None:
    """The last line adds the points as shown, to the score in the standings."""
    of = found()
    last = explain_text(of, LEDGER, "ash").splitlines()[-1]
    sum_up, _, total = last.removeprefix("total: ").partition(" = ")
    assert by_hand(sum_up) == Fraction(total)
    ash = next(one.row for one in of.standings if one.row.entry == "ash")
    assert Decimal(total) == ash.score


def test_every_total_of_a_season_follows_from_its_printed_explanation() -> None:
    """Twelve entries, nine episodes: points and total worked out again from the text alone."""
    ledger = [row for rows in invented_season().values() for row in rows]
    one = session(POINTS, toml=TOML.replace("number = 3", "number = 10"))
    of = results(one, {}, Problems())
    of = replace(of, standings=season_standings(one, of.figures, ledger, Problems()))
    scored = [standing.row for standing in of.standings if standing.row.score is not None]
    assert len(scored) == 12
    for row in scored:
        points = []
        for line in explain_text(of, ledger, row.entry).splitlines():
            match = re.match(r" +(.* [×/] .*) = (-?[\d.]+) \(", line)
            if match is not None:
                exact = by_hand(match[1])
                near = Decimal(exact.numerator) / Decimal(exact.denominator)
                points.append(near.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP))
                assert points[-1] == Decimal(match[2])
            elif line.startswith("total: "):
                sum_up, _, total = line.removeprefix("total: ").partition(" = ")
                assert [Decimal(part) for part in sum_up.split(" + ")] == points
        assert points
        assert sum(points, Decimal(0)) == Decimal(total) == row.score


def test_a_derivation_goes_from_run_to_points() -> None:
    """Runs with their files, which one is shown and why, ratio, rule."""
    text = explain_text(found(), LEDGER, "ash")
    for line in (
        "Ash: rank 1",
        "held: mean of force in “Hold”, from 1 s to 3 s",
        "run 1 (logs/ash_hold_1.csv) 49.00 N; run 2 (logs/ash_hold_2.csv) 50.26 N; run 3",
        "run 1 is shown (the median by held): 49.0 N",
        "49.0 / 52.0 × 40 = 37.7 (the best: 52.0; at most 1 × 40)",
        "per price: held over price",
        "49.000 N / 10.00 € = 4.9000 N/€",
        "4.90 / 4.90 × 20 × 1.5 = 30.0",
        "(70.0 - 20) / (100 - 20) × 15 = 9.4 (held between 0 and 15)",
        "70.000 N - 49.000 N = 21.000 N",
        "-(21.0 - 0) / (50 - 0) × 5 = -2.1",
        "49.0 / 90 × 10 = 5.4 (claimed: 90",
        "the attribute cost",
        "10.0 € on the steps 15 €: 10, 25 €: 4 (or less) = 10.0",
    ):
        assert line in text, line


def test_an_entry_of_the_ledger_names_its_source() -> None:
    """What was measured in an earlier episode says which."""
    text = explain_text(found(), LEDGER, "cedar")
    assert "held: 52.0 N (episode 1)" in text
    assert "pulled: missing (never measured), so it gives no points" in text
    assert text.endswith("total: 40.0 = 40.0\n")


def test_what_is_missing_says_why() -> None:
    """An entry of the session without runs has its reasons, and no total where it has nothing."""
    text = explain_text(found(), [], "birch")
    assert "held: 33.3 N" in text
    assert "pulled: missing (no run of Pull), so it gives no points" in text


def test_an_unknown_entry_is_told() -> None:
    """The error names those there are."""
    with pytest.raises(LedgerError, match="no entry 'oak'") as caught:
        explained(found(), LEDGER, "oak")
    assert "cedar" in caught.value.remedy
