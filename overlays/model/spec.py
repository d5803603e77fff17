"""What every table of session.toml is made of: frozen tables, quantities, times, keys."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from overlays.errors import TracereelError
from overlays.timecode import parse_rate
from overlays.units import Quantity, same_dimension

__all__ = [
    "LONGEST_TEXT",
    "AmountField",
    "Better",
    "Key",
    "PositiveField",
    "QuantityField",
    "RateField",
    "ShownText",
    "SpanField",
    "Spec",
    "TimeField",
    "shown_text",
    "told",
]

LONGEST_TEXT = 500


def told(message: str, *, code: str, remedy: str) -> PydanticCustomError:
    """Carry an error of ours through pydantic, which gathers all of a document's."""
    return PydanticCustomError("told", "{said}", {"said": message, "code": code, "remedy": remedy})


def _quantity(value: object) -> object:
    if isinstance(value, Quantity):
        return value
    if not isinstance(value, str):
        raise told(
            f"found {value!r}; expected a number with its unit, in quotation marks.",
            code="bad-quantity",
            remedy='Write it like "6 s", "21 g" or "18.50 EUR".',
        )
    try:
        return Quantity.parse(value)
    except TracereelError as error:
        raise told(error.message, code=error.code, remedy=error.remedy) from error


def _time(value: object) -> object:
    quantity = _quantity(value)
    if isinstance(quantity, Quantity) and not same_dimension(quantity.unit, "s"):
        raise told(
            f"found {value!r}; expected a time.", code="not-a-time", remedy='Write it like "6 s".'
        )
    return quantity


def _span(value: object) -> object:
    quantity = _time(value)
    if isinstance(quantity, Quantity) and not quantity.value > 0:
        raise told(
            f"found {value!r}; expected a time longer than 0.",
            code="not-positive",
            remedy='Write it like "6 s".',
        )
    return quantity


def _positive(value: object) -> object:
    quantity = _quantity(value)
    if isinstance(quantity, Quantity) and not quantity.value > 0:
        raise told(
            f"found {value!r}; expected more than 0.",
            code="not-positive",
            remedy="Write a number above 0 with its unit.",
        )
    return quantity


def _not_negative(value: object) -> object:
    quantity = _quantity(value)
    if isinstance(quantity, Quantity) and quantity.value < 0:
        raise told(
            f"found {value!r}; expected 0 or more.",
            code="negative",
            remedy="Write 0 or a number above it with its unit.",
        )
    return quantity


def _rate(value: object) -> object:
    if isinstance(value, Fraction):
        return value
    # A rounded rate such as 29.97 reaches parse_rate as text, and is refused there with the remedy.
    text = value if isinstance(value, int) and not isinstance(value, bool) else str(value)
    try:
        return parse_rate(text)
    except TracereelError as error:
        raise told(error.message, code=error.code, remedy=error.remedy) from error


def shown_text(value: object) -> object:
    """Refuse text that cannot be shown as it is: too long, or with characters that act.

    Raises
    ------
    PydanticCustomError
        Ours, for pydantic to gather.
    """
    if not isinstance(value, str):
        return value
    if len(value) > LONGEST_TEXT:
        raise told(
            f"found a text of {len(value)} characters; expected {LONGEST_TEXT} at most.",
            code="text-too-long",
            remedy="Shorten it: it is shown on screen.",
        )
    acting = next((sign for sign in value if _acts(sign)), None)
    if acting is not None:
        raise told(
            f"found the control character U+{ord(acting):04X}.",
            code="control-character",
            remedy="Take it out: it has no place in a text that is shown.",
        )
    return value


def _acts(sign: str) -> bool:
    # Controls, lone surrogates, and embeddings and overrides of direction, which disguise names.
    return unicodedata.category(sign) in ("Cc", "Cs") or "\u202a" <= sign <= "\u202e"


_TEXT = {"type": "string", "pattern": r"^\s*[+-]?\d"}
QuantityField = Annotated[
    Quantity,
    BeforeValidator(_quantity),
    WithJsonSchema(_TEXT | {"description": "A number with its unit.", "examples": ["18.50 EUR"]}),
]
TimeField = Annotated[
    Quantity,
    BeforeValidator(_time),
    WithJsonSchema(_TEXT | {"description": "A time with its unit.", "examples": ["6 s"]}),
]
SpanField = Annotated[
    Quantity,
    BeforeValidator(_span),
    WithJsonSchema(_TEXT | {"description": "A time longer than 0.", "examples": ["6 s"]}),
]
PositiveField = Annotated[
    Quantity,
    BeforeValidator(_positive),
    WithJsonSchema(_TEXT | {"description": "A number above 0 with its unit."}),
]
AmountField = Annotated[
    Quantity,
    BeforeValidator(_not_negative),
    WithJsonSchema(_TEXT | {"description": "A number, 0 or more, with its unit."}),
]
RateField = Annotated[
    Fraction,
    BeforeValidator(_rate),
    WithJsonSchema(
        {
            "type": ["string", "integer"],
            "description": "Frames per second, exactly.",
            "examples": ["30000/1001", "25"],
        }
    ),
]
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
ShownText = Annotated[
    str, BeforeValidator(shown_text), WithJsonSchema({"type": "string", "maxLength": LONGEST_TEXT})
]
Better = Literal["higher", "lower"]


class Spec(BaseModel):
    """A table of session.toml: frozen, and no key is read that is not declared."""

    model_config = ConfigDict(
        frozen=True,
        # Built once, as a part of the whole session, instead of once more each by itself: that
        # halves the time until a session is open.
        defer_build=True,
        extra="forbid",
        arbitrary_types_allowed=True,
        use_attribute_docstrings=True,
        allow_inf_nan=False,
    )
