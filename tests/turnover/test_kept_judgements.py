"""Findings kept from run to run: found again while nothing changed, and only then."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from overlays.checks.findings import Finding
from overlays.checks.judge_clip import Judged
from overlays.render.batch import Rendered
from overlays.turnover import kept_judgements as module
from overlays.turnover.kept_judgements import JUDGED_FILE, KeptJudgements
from tests.turnover.building import NON_DROP_25, clip

JUDGED = Judged((Finding("levels", "fail", "too bright.", "Dim it.", frame=7),), ("62.9", "−3"))


def rendered(**changes: Any) -> Rendered:
    known = Rendered(clip("a", 900_000, 20, NON_DROP_25), Path("a.mov"), "rendered", (), "0" * 64,
                     "1" * 64)  # fmt: skip
    return replace(known, **changes)


def kept(folder: Path, *, codec: str = "qtrle", footage: Path | None = None) -> KeptJudgements:
    return KeptJudgements(folder, codec, footage)


def test_what_was_found_is_found_again(tmp_path: Path) -> None:
    """A second run reads what the first wrote; what nobody asked for any more goes."""
    first = kept(tmp_path)
    assert first.get(rendered()) is None
    first.put(rendered(), JUDGED)
    first.put(rendered(sha256="2" * 64), JUDGED)
    first.save()
    second = kept(tmp_path)
    assert second.get(rendered()) == JUDGED
    second.save()
    assert len(json.loads((tmp_path / JUDGED_FILE).read_text())) == 1
    before = (tmp_path / JUDGED_FILE).stat().st_mtime_ns
    third = kept(tmp_path)
    third.get(rendered())
    third.save()
    assert (tmp_path / JUDGED_FILE).stat().st_mtime_ns == before


def test_whatever_a_judgement_depends_on_is_part_of_its_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another file, picture, place, footage or code of the checks: judged anew."""
    first = kept(tmp_path)
    first.put(rendered(), JUDGED)
    first.save()
    moved = rendered(clip=clip("a", 900_001, 20, NON_DROP_25))
    for other in (rendered(sha256="3" * 64), rendered(key="3" * 64), rendered(key=""), moved):
        assert kept(tmp_path).get(other) is None
    assert kept(tmp_path).get(rendered()) == JUDGED
    # Pictures in a folder have no timecode, so a place is none of their business.
    png = kept(tmp_path, codec="png")
    png.put(rendered(), JUDGED)
    assert png.get(moved) == JUDGED
    film = tmp_path / "film.mov"
    film.write_bytes(b"1")
    assert kept(tmp_path, footage=film).get(rendered()) is None
    monkeypatch.setattr(module, "source_digest", lambda *places: "other" + "".join(places))
    assert kept(tmp_path).get(rendered()) is None


def test_findings_are_on_disk_soon(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever is killed loses a second of checking, no more."""
    clock = iter([0.0, 0.5, 2.0, 2.0, 2.0])
    monkeypatch.setattr(module, "monotonic", lambda: next(clock))
    first = kept(tmp_path)
    first.put(rendered(), JUDGED)
    assert not (tmp_path / JUDGED_FILE).exists()
    first.put(rendered(sha256="2" * 64), JUDGED)
    assert kept(tmp_path).get(rendered()) == JUDGED


@pytest.mark.parametrize(
    "damage", ["", "{", '{"a": 1}', '{"%s": {"findings": [["x"]], "numbers": []}}' % ("0" * 64)]
)
def test_a_damaged_file_counts_as_empty(tmp_path: Path, damage: str) -> None:
    """Anybody may have written there; nothing of it is believed."""
    (tmp_path / JUDGED_FILE).write_text(damage)
    assert kept(tmp_path).get(rendered()) is None
