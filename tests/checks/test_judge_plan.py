"""Planned clips checked before anything is drawn."""

from __future__ import annotations

from dataclasses import replace

from overlays.checks.judge_plan import judge_plan
from overlays.model.waiverspec import WaiverSpec
from tests.checks.clips import clip_of
from tests.kinds.conftest import EXAMPLES, content_of, make_results


def test_whatever_is_found_ahead_can_be_waived() -> None:
    """A card there for a third of a second is too short to be read; a waiver's reason is told."""
    results = make_results()
    card = content_of(results, "lower_third", **EXAMPLES["lower_third"])
    clip = clip_of("lower_third", card, frames=8)
    assert "reading-time" in {item.check for item in judge_plan(results, [clip])}
    waiver = WaiverSpec(check="reading-time", reason="it is read aloud")
    spec = results.session.spec.model_copy(update={"waivers": (waiver,)})
    waiving = replace(results, session=replace(results.session, spec=spec))
    found = {item.check: item.waived for item in judge_plan(waiving, [clip])}
    assert found["reading-time"] == "it is read aloud"
    assert not any(reason for check, reason in found.items() if check != "reading-time")
