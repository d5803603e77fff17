"""Which files a session may name."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import SessionError
from overlays.session.paths import inside, ledger_path

ROOT = Path(__file__).parent


@pytest.mark.parametrize("written", ["a.csv", "logs/a.csv", "./a.csv", "Öl_温度 (kurz).csv"])
def test_a_relative_path_stays_inside(written: str) -> None:
    """Any file below the session may be named, whatever its letters."""
    assert inside(ROOT, written) == ROOT / written


@pytest.mark.parametrize(
    "written", ["", "/a", "~/a", "C:a", "c:/a", "..", "../a", "a/../../b", "a\\b", "a\nb", "a\0b"]
)
def test_a_path_that_could_leave_is_refused(written: str) -> None:
    """Absolute paths, parent folders, drive letters and control characters are errors."""
    with pytest.raises(SessionError) as caught:
        inside(ROOT, written)
    assert caught.value.code in {"bad-path", "path-leaves-session"}


@given(st.text(st.sampled_from("./\\ab:~"), max_size=12))
def test_no_text_leads_outside(written: str) -> None:
    """Whatever is written, the file lies below the session, or it is refused."""
    try:
        path = inside(ROOT, written)
    except SessionError:
        return
    assert path.resolve().is_relative_to(ROOT.resolve())


@pytest.mark.parametrize("written", ["ledger.csv", "../ledger.csv", "../season/ledger.CSV"])
def test_the_ledger_may_lie_beside_the_session(written: str) -> None:
    """A season's ledger is shared by sessions that lie side by side."""
    assert ledger_path(ROOT, written).is_relative_to(ROOT.parent)


@pytest.mark.parametrize(
    "written", ["../../l.csv", "a/../../l.csv", "/l.csv", "../l.toml", "..\\l.csv", ""]
)
def test_the_ledger_may_not_lie_elsewhere(written: str) -> None:
    """One folder up and no further, and only a CSV file."""
    with pytest.raises(SessionError):
        ledger_path(ROOT, written)


def test_the_ledger_may_not_be_a_link_elsewhere(tmp_path: Path) -> None:
    """A link is followed before it is judged."""
    (tmp_path / "far.csv").write_text("", encoding="utf-8")
    session = tmp_path / "season" / "one"
    session.mkdir(parents=True)
    (session / "ledger.csv").symlink_to(tmp_path / "far.csv")
    with pytest.raises(SessionError):
        ledger_path(session, "ledger.csv")
