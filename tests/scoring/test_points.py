"""Rules: figures as shown → points, exactly."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from overlays.errors import SessionError, UnitError
from overlays.model.pointspec import AnyPoints, PointsSpec
from overlays.scoring.points import RULES, Judged, points_of
from overlays.units import Quantity

ADAPTER: TypeAdapter[AnyPoints] = TypeAdapter(AnyPoints)


def column(**keys: Any) -> PointsSpec:
    """Return a column as declared in session.toml."""
    return ADAPTER.validate_python({"figure": "f", "most": 30, **keys})


def points(spec: PointsSpec, value: str, **known: Any) -> Decimal | None:
    """Return the points of a value in newtons."""
    judged = {"unit": "N", "better": "higher", **known}
    return points_of(spec, Judged(Decimal(value), **judged))


def test_every_declared_rule_has_its_function() -> None:
    """Tables and functions of rules are the same set."""
    (tables, *_rest) = get_args(AnyPoints)
    declared = {get_args(t.model_fields["rule"].annotation)[0] for t in get_args(tables)}
    assert declared == set(RULES)


def test_share_of_the_best() -> None:
    """30 × 41.2 / 62.4 is 19.807…, shown as 19.8; lower is better turns the fraction over."""
    spec = column()
    assert points(spec, "41.2", best=Decimal("62.4")) == Decimal("19.8")
    assert points(spec, "62.4", best=Decimal("62.4")) == Decimal("30.0")
    assert points(spec, "62.4", best=Decimal("41.2"), better="lower") == Decimal("19.8")


@pytest.mark.parametrize(
    ("value", "best", "better", "expected"),
    [
        ("0", "50", "higher", "0.0"),
        ("-5", "50", "higher", "0.0"),
        ("0", "0", "higher", "30.0"),
        ("-5", "0", "higher", None),
        ("0", "0", "lower", "30.0"),
        ("5", "0", "lower", "0.0"),
        ("5", "-1", "lower", "0.0"),
    ],
)
def test_shares_at_and_below_zero(value: str, best: str, better: str, expected: str | None) -> None:
    """A score of zero is a score; a share of a best that is not above zero does not exist."""
    found = points(column(), value, best=Decimal(best), better=better)
    assert found == (None if expected is None else Decimal(expected))


def test_no_best_gives_no_points() -> None:
    """Without anything to compare with there is no share."""
    assert points(column(), "5") is None


def test_a_fixed_reference_does_not_move_and_has_a_ceiling() -> None:
    """Twice a fixed reference earns no more than the share that is allowed."""
    assert points(column(best="50 N"), "100", best=Decimal(100)) == Decimal("30.0")
    assert points(column(best="50 N", at_most=1.5), "100") == Decimal("45.0")
    assert points(column(best="0.05 kN"), "25") == Decimal("15.0")


def test_a_share_of_degrees_celsius_is_refused() -> None:
    """A share needs a true zero."""
    with pytest.raises(SessionError, match="no true zero"):
        points(column(), "60", best=Decimal(50), unit="degC")


LINE = {"rule": "line", "none_at": "20 N", "most_at": "60 N"}


@pytest.mark.parametrize(
    ("value", "expected"),
    [("10", "0.0"), ("20", "0.0"), ("30", "7.5"), ("60", "30.0"), ("90", "30.0")],
)
def test_a_straight_line_between_two_anchors(value: str, expected: str) -> None:
    """Nothing before the first anchor, everything after the second, a straight line between."""
    assert points(column(**LINE), value) == Decimal(expected)


def test_a_line_may_fall() -> None:
    """Where less is better the anchors stand the other way round; units are converted."""
    spec = column(rule="line", none_at="140 degF", most_at="20 degC")
    assert points(spec, "40", unit="degC", better="lower") == Decimal("15.0")


def test_a_flat_line_is_refused() -> None:
    """Two anchors at one value have no line."""
    with pytest.raises(SessionError, match="same value"):
        points(column(rule="line", none_at="5 N", most_at="5 N"), "5")


STEPS = {"rule": "steps", "steps": [["20 g", 10], ["25 g", 6], ["30 g", 2.5]], "most": 10}


@pytest.mark.parametrize(
    ("value", "expected"),
    [("18", "10.0"), ("20", "10.0"), ("20.1", "6.0"), ("30", "2.5"), ("31", "0.0")],
)
def test_steps_count_the_first_one_reached(value: str, expected: str) -> None:
    """Fixed points for an attribute: up to 20 g earns ten, beyond 30 g nothing."""
    assert points(column(**STEPS), value, unit="g", better="lower") == Decimal(expected)


def test_steps_upwards() -> None:
    """Where more is better a step is reached from below."""
    spec = column(rule="steps", steps=[["60 N", 30], ["40 N", 12]])
    assert [points(spec, value) for value in ("61", "60", "59", "39")] == [
        Decimal(text) for text in ("30.0", "30.0", "12.0", "0.0")
    ]


def test_measured_against_claimed_with_a_ceiling() -> None:
    """80 of a claimed 100 earns 80 %; more than claimed earns no more; no claim earns none."""
    spec = column(rule="share_of_claim", claim="claimed")
    claim = Quantity(100.0, "N")
    assert points(spec, "80", claim=claim) == Decimal("24.0")
    assert points(spec, "130", claim=claim) == Decimal("30.0")
    assert points(spec, "80") is None
    generous = column(rule="share_of_claim", claim="claimed", ceiling=1.2)
    assert points(generous, "130", claim=claim) == Decimal("36.0")


def test_a_penalty_takes_away() -> None:
    """A penalty is a line below zero, and none is a plain zero, not a minus zero."""
    spec = column(rule="penalty", none_at="60 N", most_at="80 N", most=5)
    assert str(points(spec, "70")) == "-2.5"
    assert str(points(spec, "50")) == "0.0"


def test_a_weight_multiplies_before_rounding() -> None:
    """10.04 points at half weight are 5.0, worked out before rounding."""
    assert points(column(weight=0.5), "10.04", best=Decimal(30)) == Decimal("5.0")


def test_units_of_a_rule_have_to_fit() -> None:
    """An anchor in another dimension is an error."""
    with pytest.raises(UnitError):
        points(column(rule="line", none_at="1 s", most_at="2 s"), "5")


numbers = st.decimals(min_value="0.1", max_value="999.9", places=1)


@given(numbers, numbers, st.decimals(min_value=1, max_value=100, places=1))
def test_points_are_what_a_calculator_gives(value: Decimal, best: Decimal, most: Decimal) -> None:
    """The exact fraction, rounded half away from zero by Python's decimal, says the same."""
    best = max(value, best)
    exact = Fraction(value) / Fraction(best) * Fraction(most)
    # Enough digits that the decimal is on the right side of every half.
    near = (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(Decimal("1e-12"))
    expected = near.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    assert points(column(most=float(most)), str(value), best=best) == expected


@given(numbers, numbers)
def test_a_better_value_never_earns_less(a: Decimal, b: Decimal) -> None:
    """Every rule rises with a better value."""
    low, high = sorted((a, b))
    best = Decimal(1000)
    for spec in (column(), column(**LINE), column(rule="steps", steps=[["60 N", 30], ["4 N", 1]])):
        poorer, richer = (points(spec, str(value), best=best) for value in (low, high))
        assert poorer is not None
        assert richer is not None
        assert poorer <= richer
