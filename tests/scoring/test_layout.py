"""Tables as text."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.scoring.layout import Table, render

NAMES = Table(
    ("name", "score"), (False, True), (("Ash", "9.5"), ("東風隊", "10.0"), ("Zoe\u0301", "–"))
)


def test_columns_line_up_whatever_the_script() -> None:
    """Wide letters take two columns and combining marks none, as a terminal shows them."""
    assert render(NAMES, "table").splitlines() == [
        "name    score",
        "------  -----",
        "Ash       9.5",
        "東風隊   10.0",
        "Zoe\u0301         –",
    ]


def test_markdown_is_a_table() -> None:
    """Bars inside a cell do not part it."""
    odd = Table(("a", "b"), (False, True), (("x|y\\z", "1"),))
    assert render(odd, "md") == "| a | b |\n| --- | --: |\n| x\\|y\\\\z | 1 |\n"


@pytest.mark.parametrize("cell", ["=1+1", "+49", "-x", "@SUM(A1)", "\tx"])
def test_a_spreadsheet_takes_no_cell_for_a_formula(cell: str) -> None:
    """Text that begins like a formula is marked as text (OWASP, "CSV Injection")."""
    text = render(Table((cell, "n"), (False, True), ((cell, "-5"),)), "csv")
    (heading, _), (name, number) = csv.reader(io.StringIO(text))
    assert heading == name == f"'{cell}"
    assert number == "-5"


cells = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8)


@given(st.lists(st.tuples(cells, cells), max_size=6))
def test_csv_reads_back(table: list[tuple[str, str]]) -> None:
    """Python's csv module reads what was written, quotation marks, commas and all."""
    text = render(Table(("a", "b"), (True, True), tuple(table)), "csv")
    assert list(csv.reader(io.StringIO(text))) == [["a", "b"], *map(list, table)]


@given(st.lists(st.tuples(cells, cells), max_size=6))
def test_every_row_is_one_line(table: list[tuple[str, str]]) -> None:
    """A table of n rows has two lines more in text and Markdown."""
    one = Table(("a", "b"), (False, True), tuple(table))
    for text in (render(one, "table"), render(one, "md")):
        assert text.count("\n") == len(table) + 2
