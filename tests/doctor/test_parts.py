"""The parts are used for real; where one fails, this is told with its reason."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import NoReturn

import pytest

import overlays.doctor.parts as module
from overlays.doctor.finding import MachineFinding
from overlays.doctor.parts import part_findings
from overlays.errors import RenderError, StyleError
from overlays.kinds.registry import kinds
from overlays.model.clip import CODECS
from overlays.style.house import style_names


def found() -> dict[str, MachineFinding]:
    return {finding.about: finding for finding in part_findings()}


def test_every_codec_style_and_kind_is_used() -> None:
    """Each codec writes and reads a clip, each style finds its fonts, and all is well here."""
    told = found()
    assert {f"codec {name}" for name in CODECS} <= set(told)
    assert {f"style {name}" for name in style_names()} <= set(told)
    assert told["overlay kinds"].found == ", ".join(kinds())
    assert told["FFmpeg program"].found.startswith("ffmpeg version")
    assert {finding.state for finding in told.values()} == {"good"}


def test_what_fails_is_missing_with_its_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    """One codec, the program, the styles and the kinds fail; the rest is looked at all the same."""

    def codec_fails(name: str) -> NoReturn:
        raise RenderError(f"{name} is broken.", code="encoder-failed", remedy="Try another.")

    def style_fails(name: str, *_: Path) -> NoReturn:
        raise StyleError(f"{name} has no font.", code="missing-font", remedy="Add it.")

    def kinds_fail() -> NoReturn:
        raise ImportError("no module")

    monkeypatch.setattr(module, "codec_named", codec_fails)
    monkeypatch.setattr("overlays.style.house.load_style", style_fails)
    monkeypatch.setattr("overlays.kinds.registry.kinds", kinds_fail)
    monkeypatch.setattr("imageio_ffmpeg.get_ffmpeg_exe", lambda: "/no/such/program")
    told = found()
    assert "vp9 is broken" in told["codec vp9"].found
    assert "has no font" in told["style rule"].found
    for about in ("codec vp9", "style rule", "overlay kinds", "FFmpeg program"):
        assert told[about].state == "missing"
        assert told[about].remedy


def test_frames_that_do_not_come_back_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that opens but holds fewer frames is no working codec."""
    monkeypatch.setattr(module, "decode", lambda _: iter(()))
    assert found()["codec png"].found == "0 of 3 frames come back"


def test_no_styles_at_all_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """An installation without styles cannot draw."""
    monkeypatch.setattr("overlays.style.house.style_names", lambda: ())
    assert found()["styles"].state == "missing"


def test_an_extra_that_is_not_installed_is_a_note(monkeypatch: pytest.MonkeyPatch) -> None:
    """Extras are for some; how to get one is said."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    finding = found()["extra mdf"]
    assert finding.state == "note"
    assert "tracereel[mdf]" in finding.remedy
