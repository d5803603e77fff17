"""References: how they are written, and what is refused."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import OutlineError
from overlays.outline.reference import Operand, Reference, parse_reference

ALDER, DUNE = Operand("alder", "cold_mean"), Operand("dune", "cold_mean")


@pytest.mark.parametrize(
    ("text", "reference"),
    [
        ("alder cold_mean", Reference(ALDER)),
        (" alder\n cold_mean ", Reference(ALDER)),
        ("alder cold_mean minus dune cold_mean", Reference(ALDER, "minus", DUNE)),
        ("alder cold_mean over dune cold_mean in %", Reference(ALDER, "over", DUNE, unit="%")),
        ("alder cold_mean against dune cold_mean about",
         Reference(ALDER, "against", DUNE, about=True)),
        ("alder cold_mean in lbf ft to 0 places bare",
         Reference(ALDER, unit="lbf ft", places=0, bare=True)),
        ("alder cold_mean to 1 place", Reference(ALDER, places=1)),
        ("alder cold_mean about in words", Reference(ALDER, about=True, in_words=True)),
        ("alder cold_mean in words in kN*m", Reference(ALDER, unit="kN*m", in_words=True)),
        ("alder cold_mean unsigned", Reference(ALDER, unsigned=True)),
    ],
)  # fmt: skip
def test_every_way_of_writing_is_read(text: str, reference: Reference) -> None:
    """Entry, figure, operation and how it is to be written, the latter in any order."""
    assert parse_reference(text) == reference


@pytest.mark.parametrize(
    "text",
    [
        "", "alder", "Alder cold_mean", "alder cold-mean", "alder cold_mean minus dune",
        "alder cold_mean plus dune cold_mean", "alder cold_mean in",
        "alder cold_mean in to 1 places",
        "alder cold_mean to two places", "alder cold_mean to 1", "alder cold_mean to 9 places",
        "alder cold_mean bare bare", "alder cold_mean about to 1 places", "alder cold_mean roughly",
        "alder.__class__ cold_mean", "alder cold_mean to 99999999999 places",
    ],
)  # fmt: skip
def test_everything_else_is_refused(text: str) -> None:
    """Nothing is guessed: what is written otherwise is an error that shows the ways there are."""
    with pytest.raises(OutlineError) as caught:
        parse_reference(text)
    assert caught.value.code == "bad-reference"
    assert "{ENTRY FIGURE}" in caught.value.remedy


@given(st.text(alphabet=st.characters(blacklist_characters="{}"), max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text between braces does anything but be read or be refused."""
    with contextlib.suppress(OutlineError):
        read = parse_reference(text)
        assert (read.operation is None) == (read.second is None)
