"""How long it takes to plan an outline of 400 beats and 600 cues.

Run it as ``python tests/benchmarks/planning.py --json FILE``: it prints a table and writes
``{"outline_s": …, "with_voice_s": …, "review_s": …, "beats": …, "cues": …}``. An outline has to be
planned in under 2 s.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from overlays.errors import Problems  # noqa: E402 (the path comes first)
from overlays.model.outline import Outline  # noqa: E402 (the same)
from overlays.outline.reader import read_outline  # noqa: E402 (the same)
from overlays.outline.review import review_outline  # noqa: E402 (the same)
from tests.outline.bench import make_results, make_session  # noqa: E402 (the same)
from tests.outline.voices import (  # noqa: E402 (the same)
    captions_vtt,
    read_aloud,
    seeded,
    spoil,
    vocabulary_row,
)

BEATS, CUES = 400, 600
FILLED = "eighty six point four newton metres ten point four newton metres"


def outline_text(rng: random.Random) -> tuple[str, list[list[str]]]:
    """Return an outline of 400 beats and 600 cues, and the words of each beat as read aloud."""
    parts: list[str] = []
    words: list[list[str]] = []
    for beat in range(BEATS):
        own = vocabulary_row(rng, 14)
        first, last = " ".join(own[:7]), " ".join(own[7:])
        parts.append(
            f"## Beat {beat}\n\n{first} {{alder cold_mean}} and "
            f"{{alder wet_mean minus dune wet_mean}}. {last}, about 86 newton metres.\n"
        )
        # Every other beat has a cue on a phrase besides the one at its in-point.
        for cue in range(2 if beat < CUES - BEATS else 1):
            hung = f'when = "{" ".join(own[7:10])}"' if cue else 'at = "0.2 s"'
            kind = ("curves", "lower_third")[cue]
            parts.append(f'```cue {kind}\n{hung}\nlength = "1.5 s"\ntest = "cold"\n```\n')
        filled = [*FILLED.split()[:6], "and", "minus", *FILLED.split()[6:]]
        words.append([*own[:7], *filled, *own[7:], "about", "eighty", "six", "newton", "metres"])
    return "\n".join(parts), words


def planned(folder: Path) -> tuple[float, float, Outline]:
    """Plan the outline of a folder: seconds for reading, seconds for its review, the outline."""
    session = make_session(folder, start="00:00:00:00")
    results = make_results(session)
    problems = Problems()
    begin = time.perf_counter()
    outline = read_outline(session, results, problems)
    read = time.perf_counter()
    problems.raise_errors()
    if outline is None or (len(outline.beats), len(outline.cues)) != (BEATS, CUES):
        raise SystemExit("the outline was not planned whole")
    review_outline(outline, results, problems)
    return read - begin, time.perf_counter() - read, outline


def main() -> None:
    """Measure, print and write."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--json", type=Path)
    target: Path | None = arguments.parse_args().json
    rng = seeded(20310504)
    text, words = outline_text(rng)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "outline.md").write_text(text, encoding="utf-8")
        plain, review, outline = planned(folder)
        captions = captions_vtt(spoil(read_aloud(words, 1), 2, 0.1), 3)
        (folder / "captions.vtt").write_text(captions, encoding="utf-8")
        voiced, voice_review, _ = planned(folder)
    measured = {
        "outline_s": round(plain, 3),
        "with_voice_s": round(voiced, 3),
        "review_s": round(max(review, voice_review), 3),
        "beats": len(outline.beats),
        "cues": len(outline.cues),
    }
    sys.stdout.writelines(f"{key:14} {value}\n" for key, value in measured.items())
    if target is not None:
        target.write_text(json.dumps(measured) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
