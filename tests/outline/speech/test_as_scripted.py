"""Numbers heard that are the script's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlays.outline.speech.findings import Finding, voice_findings
from tests.outline.bench import make_results, make_session, read
from tests.outline.voices import seeded

SCRIPT = """## One
Alder makes {alder cold_mean} and weighs {alder mass}. Dune makes {dune cold_mean}.
Between them lie {alder cold_mean minus dune cold_mean},
or {alder cold_mean against dune cold_mean}.
"""


def _heard(folder: Path, text: str) -> list[Finding]:
    (folder / "captions.srt").write_text(
        f"1\n00:00:00,500 --> 00:00:09,000\n{text}\n", encoding="utf-8"
    )
    outline, _ = read(folder, SCRIPT)
    return list(voice_findings(outline, make_results(make_session(folder))))


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        # The unit was lost in the captions; 21 alone would contradict some figure or other.
        ("alder makes a lot and weighs 21 and no more", ""),
        ("between them lie six point three metres", "The script has 6.3 N·m there"),
        ("so alder leaks 6.3 newton metres on it", ""),
        ("that is 6.3 points then", "The script has 6.3 N·m there"),
    ],
)
def test_a_number_of_the_script_is_borne_out(tmp_path: Path, text: str, remark: str) -> None:
    """What is misheard beside a number makes it no wrong number; another unit is told."""
    (found,) = _heard(tmp_path, text)
    assert found.verdict == "supported"
    assert remark in found.judgement.remark
    assert bool(remark) == bool(found.judgement.remark)


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("alder makes 87.4 newton metres", "86.4 N·m (Mean torque of Alder)"),
        ("dune makes 86.4 newton metres", "80.1 N·m (Mean torque of Dune)"),
        ("dune weighs 21 grams", "19 g (mass of Dune)"),
    ],
)
def test_a_wrong_number_stays_wrong(tmp_path: Path, text: str, data: str) -> None:
    """Neither another number nor another entry's is excused by the script."""
    (found,) = _heard(tmp_path, text)
    assert (found.verdict, found.data) == ("contradicted", data)


def test_a_share_of_the_script_is_borne_out(tmp_path: Path) -> None:
    """Eight percent are written as 8 %, whatever they are heard to be of."""
    (found,) = _heard(tmp_path, "that is eight percent lore")
    assert (found.verdict, found.data[:3]) == ("supported", "8 %")


def test_the_script_goes_before_a_pair_that_happens_to_fit(tmp_path: Path) -> None:
    """86.44 over 80.06 is 108 percent too, but nobody spoke of it: the script's share is meant."""
    script = "## One\nAlder keeps {alder cold_mean over alder claimed} of its claim. So be it.\n"
    (tmp_path / "captions.srt").write_text(
        "1\n00:00:00,500 --> 00:00:09,000\nelder keeps 108 percent of its claim so be it\n",
        encoding="utf-8",
    )
    outline, _ = read(tmp_path, script)
    (found,) = voice_findings(outline, make_results(make_session(tmp_path)))
    assert found.verdict == "supported"
    assert "dune" not in found.data.casefold()


WORDS = """
alder dune about just under twelve eighty six point four 86.4 6,3 8 % points metres newton
grams euros degrees percent a third half more than twice between and N·m € less . ? oh hundred
"""


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_heard_is_judged(tmp_path: Path, seed: int) -> None:
    """Words, numbers and units in any order (seeded) are judged, each with a verdict."""
    rng = seeded(seed)
    told = _heard(tmp_path, " ".join(rng.choice(WORDS.split()) for _ in range(60)))
    assert told
    for found in told:
        assert found.verdict in ("supported", "contradicted", "unsupported")
        assert found.said in found.sentence
