"""Fields of session.toml tables."""

from __future__ import annotations

from fractions import Fraction

import pytest
from pydantic import ValidationError

from overlays.model.spec import Key, QuantityField, RateField, ShownText, Spec, TimeField
from overlays.units import Quantity


class Sample(Spec):
    """A table with one field of each kind."""

    key: Key = "a"
    quantity: QuantityField = Quantity(1.0, "N")
    time: TimeField = Quantity(1.0, "s")
    rate: RateField = Fraction(25)
    text: ShownText = ""


def test_text_becomes_what_it_means() -> None:
    """Quantities, times and rates are read from text; a whole number may be a rate."""
    sample = Sample.model_validate({"quantity": "18.50 EUR", "time": "2 min", "rate": 24})
    assert sample.quantity == Quantity(18.5, "EUR", 2)
    assert sample.time.to("s") == 120
    assert sample.rate == 24
    assert Sample.model_validate({"rate": "30000/1001"}).rate == Fraction(30000, 1001)
    assert Sample.model_validate({"time": Quantity(3.0, "s")}).time.value == 3


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("quantity", 5, "bad-quantity"),
        ("quantity", "5 nonsense", "unknown-unit"),
        ("quantity", {"value": 5}, "bad-quantity"),
        ("time", "5 N", "not-a-time"),
        ("rate", 29.97, "bad-rate"),
        ("rate", "29.97", "bad-rate"),
        ("rate", True, "bad-rate"),
    ],
)
def test_faults_keep_our_words_through_pydantic(field: str, value: object, code: str) -> None:
    """Code and remedy of our own errors arrive in the report of the whole document."""
    with pytest.raises(ValidationError) as caught:
        Sample.model_validate({field: value})
    (fault,) = caught.value.errors()
    assert fault["ctx"]["code"] == code
    assert fault["ctx"]["remedy"]


@pytest.mark.parametrize(
    "text", ["a" * 501, "a" * 10_000, "a\x1b[2J", "a\nb", "\x00", "\x9b2J", "\u202egnp", "\ud800"]
)
def test_text_that_cannot_be_shown_is_refused(text: str) -> None:
    """Far too long, controls (ECMA-48), overrides of direction (UAX #9), lone surrogates."""
    with pytest.raises(ValidationError) as caught:
        Sample.model_validate({"text": text})
    (fault,) = caught.value.errors()
    assert fault["ctx"]["code"] in ("text-too-long", "control-character")
    assert len(fault["ctx"]["said"]) < 100


@pytest.mark.parametrize(
    "text", ["a" * 500, "[red]<b>=1+1</b>", "温度", "e\u0301", "\U0001f600 مرحبا"]
)
def test_text_of_any_script_is_taken_as_it_is(text: str) -> None:
    """Marks that mean something elsewhere are made harmless where they get there."""
    assert Sample.model_validate({"text": text}).text == text


@pytest.mark.parametrize("key", ["", "A", "1a", "a-b", "a.b", "a" * 41, "é"])
def test_keys_are_plain(key: str) -> None:
    """A key is a lower-case word that is safe in any file name and message."""
    with pytest.raises(ValidationError):
        Sample.model_validate({"key": key})


def test_tables_are_closed_and_frozen() -> None:
    """No key is read that is not declared, and nothing is changed after reading."""
    with pytest.raises(ValidationError):
        Sample.model_validate({"other": 1})
    with pytest.raises(ValidationError):
        Sample().key = "b"  # type: ignore[misc]  # that is the point
