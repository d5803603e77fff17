from __future__ import annotations

import pytest

from overlays.errors import LogError
from overlays.logs.dialect import Shape
from overlays.logs.fitting import fitted


@pytest.mark.parametrize(
    ("text", "delimiter", "names"),
    [
        ("# t,v", ",", ["t", "v"]),
        ("#,v", ",", ["#", "v"]),
        ("# t v", " ", ["t", "v"]),
        ("Time (s)    Force (N)", " ", ["Time (s)", "Force (N)"]),
        ("Time (s) Force (N)", " ", ["Time (s)", "Force (N)"]),
        ("t,v,,", ",", ["t", "v"]),
        ("t", ",", ["t", ""]),
    ],
)
def test_fitted(text: str, delimiter: str, names: list[str]) -> None:
    """Marks of comments, names of two words and trailing delimiters do not shift the names."""
    cut = text.split() if delimiter == " " else text.split(delimiter)
    row = ["0", ""] if text == "t" else ["0", "1.5"]
    found = fitted(cut, [row, row], Shape(delimiter, 2), text=text, line=1, file="a.csv")
    assert found == names


@pytest.mark.parametrize(
    ("names", "rows", "words"),
    [
        (["a", "b"], [["1", "2", "3"]], "3 cells, but there are 2 column names"),
        (["a"], [["1", "2", "3"]], "there is 1 column name"),
        (["time", "v"], [["10:00:00", "250", "1.5"]], "3 cells"),
    ],
)
def test_misfits(names: list[str], rows: list[list[str]], words: str) -> None:
    """What does not fit is one error that counts both."""
    with pytest.raises(LogError, match=words) as caught:
        fitted(names, rows, Shape(",", len(rows[0])), text="", line=4, file="a.csv")
    assert caught.value.line == 4
    assert ("decimal mark" in caught.value.remedy) == (names[0] == "time")
