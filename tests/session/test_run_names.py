"""Runs by their names."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.errors import SessionError
from overlays.model.run import RunRef
from overlays.session.run_names import named_run, run_name


def _ref(entry: str, repeat: int, file: str, *, use: bool = True) -> RunRef:
    return RunRef(entry, "open", repeat, Path(file), file, use=use)


RUNS = (
    _ref("brook", 1, "logs/brook_open_1.csv"),
    _ref("brook", 2, "logs/day two/a.csv"),
    _ref("weir", 1, "logs/a.csv"),
    _ref("weir", 2, "logs/weir_open_2.csv", use=False),
)


@pytest.mark.parametrize("ref", RUNS[:3])
def test_a_run_is_named_and_found_again(ref: RunRef) -> None:
    """Entry, test and repeat name one run, with any spaces between."""
    assert named_run(run_name(ref), RUNS) is ref
    assert named_run(f"  {ref.entry}  open {ref.repeat} ", RUNS) is ref


@pytest.mark.parametrize("written", ["logs/brook_open_1.csv", "brook_open_1.csv", "brook_open_1"])
def test_a_log_names_its_run(written: str) -> None:
    """With its folder and ending, or without."""
    assert named_run(written, RUNS) is RUNS[0]


@pytest.mark.parametrize(
    ("written", "code", "said"),
    [
        ("brok open 1", "unknown-run", "brook open 1"),
        ("", "unknown-run", "Write entry, test and repeat"),
        ("a.csv", "unclear-run", "brook open 2, weir open 1"),
        ("weir open 2", "run-left-out", "left out"),
    ],
)
def test_what_is_no_one_run_is_told(written: str, code: str, said: str) -> None:
    """Misspelt, meant twice, or left out: each with what to write."""
    with pytest.raises(SessionError) as caught:
        named_run(written, RUNS)
    assert caught.value.code == code
    assert said in str(caught.value)
