"""Whether the data bears a number out: supported, contradicted or unsupported."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from overlays.outline.speech.agreement import agrees, distance
from overlays.outline.speech.candidates import Candidate, candidates
from overlays.outline.speech.claims import Claim
from overlays.outline.speech.known import Knowledge

__all__ = ["Hints", "Judgement", "Verdict", "judge", "stems"]

Verdict = Literal["supported", "contradicted", "unsupported"]
# A number contradicts the nearest figure, unless it is so far away that something else must be
# meant (our own choice, no source).
_FAR = math.log(2)
_NEAR_BARE = math.log(1.1)
_PAIR = _FAR / 2  # a ratio somebody would have to think of is less likely meant than a figure


@dataclass(frozen=True, slots=True)
class Judgement:
    """Whether the data bears a number out, and what that rests on.

    Parameters
    ----------
    verdict : {"supported", "contradicted", "unsupported"}
        What became of it.
    candidate : Candidate or None
        What agrees with it, or else is nearest to it.
    rounding : str
        At which rounding they agree; empty where they do not.
    remark : str
        What else needs saying, such as that more was said where it is less.
    """

    verdict: Verdict
    candidate: Candidate | None = None
    rounding: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Hints:
    """What says which figure a number is about, besides the number.

    Parameters
    ----------
    words : frozenset of str
        Of its sentence, from `stems`.
    figures : frozenset of (str, str)
        (figure, entry) that the script of its beat speaks of.
    """

    words: frozenset[str] = frozenset()
    figures: frozenset[tuple[str, str]] = frozenset()

    def weight(self, candidate: Candidate) -> int:
        """Return how much speaks for a candidate: shared words, and whether it is in the script."""
        return len(self.words & stems(candidate.label)) + bool(
            self.figures.intersection(candidate.figures)
        )


def judge(
    claim: Claim,
    knowledge: Knowledge,
    *,
    named: Sequence[str],
    context: Sequence[str] = (),
    hints: Hints | None = None,
) -> Judgement:
    """Hold a claim against the data.

    Parameters
    ----------
    claim : Claim
        What was said.
    knowledge : Knowledge
        The data.
    named : sequence of str
        Entries its sentence names, in order.
    context : sequence of str
        Entries spoken of before, for a sentence that names none.
    hints : Hints, optional
        What else says which figure is meant.
    """
    everyone = tuple(knowledge.session.spec.entries)
    pool = tuple(named or context or everyone)
    hints = hints or Hints()
    found = _agreeing(claim, candidates(claim, knowledge, pool), hints)
    if found is None:
        found = _agreeing(claim, candidates(claim, knowledge, ()), hints)
    if found is not None:
        return Judgement("supported", *found, _side_remark(claim, found[0], named))
    others = [entry for entry in everyone if entry not in pool]
    found = _agreeing(claim, candidates(claim, knowledge, others), hints) if others else None
    if found is not None and not named:
        spoken_of = ", ".join(knowledge.name(entry) for entry in context)
        remark = f"It is {found[0].label}, and {spoken_of} was spoken of before."
        return Judgement("supported", *found, remark)
    return _unborne(claim, list(candidates(claim, knowledge, pool)), named, found, hints)


def _unborne(
    claim: Claim,
    pool: Sequence[Candidate],
    named: Sequence[str],
    elsewhere: tuple[Candidate, str] | None,
    hints: Hints,
) -> Judgement:
    """Judge a claim that nothing agrees with: contradicted by what is near, or unsupported."""
    nearest = _nearest(claim, pool, hints)
    if nearest is None:
        return Judgement("unsupported")
    near, far = nearest
    bare = not claim.units and claim.form == "amount"
    about_it = bool(named) and bool(claim.units) and claim.form == "amount"
    if far <= (_NEAR_BARE if bare else _FAR) or about_it:
        # Some ratio of other entries fits nearly any number; that would tell nobody anything.
        told = elsewhere if claim.form == "amount" else None
        remark = f"It fits {told[0].label}." if told is not None else ""
        return Judgement("contradicted", near, "", remark)
    return Judgement("unsupported", near if claim.units else None)


@lru_cache(maxsize=4096)
def stems(text: str) -> frozenset[str]:
    """Return the words of a text that carry meaning, cut short: "claimed" and "claim" are one."""
    return frozenset(word[:5] for word in re.findall(r"[^\W\d_]{4,}", text.casefold()))


def _agreeing(
    claim: Claim, pool: Iterable[Candidate], hints: Hints
) -> tuple[Candidate, str] | None:
    """Return the candidate that agrees best: most words in common, then nearest."""
    best: tuple[tuple[int, float], Candidate, str] | None = None
    for candidate in pool:
        for reading in claim.readings:
            data = _held_to(claim, candidate)
            rounding = agrees(claim, reading, data)
            if rounding:
                rank = (-hints.weight(candidate), distance(reading, data))
                if best is None or rank < best[0]:
                    best = (rank, candidate, rounding)
    return best[1:] if best else None


def _held_to(claim: Claim, candidate: Candidate) -> float:
    # "Six newton metres between them" does not say who is ahead.
    return abs(candidate.value) if claim.form == "difference" else candidate.value


def _nearest(
    claim: Claim, pool: Iterable[Candidate], hints: Hints
) -> tuple[Candidate, float] | None:
    """Return what a claim comes nearest to, and how far it is; a shared word counts for much."""
    ranked = [
        (
            far - _FAR * hints.weight(candidate) + _PAIR * (len(candidate.entries) > 1),
            far,
            place,
            candidate,
        )
        for place, candidate in enumerate(pool)
        for reading in claim.readings
        for far in (distance(reading, _held_to(claim, candidate)),)
    ]
    if not ranked:
        return None
    _, far, _, candidate = min(ranked, key=lambda item: item[:3])
    return candidate, far


def _side_remark(claim: Claim, candidate: Candidate, named: Sequence[str]) -> str:
    """Say so where "more" was said and it is less."""
    if claim.form != "difference" or not claim.side or tuple(named) != candidate.entries:
        return ""
    if (candidate.value > 0) == (claim.side > 0):
        return ""
    word = "more" if candidate.value > 0 else "less"
    return f"Check the direction: {candidate.label} is {candidate.shown}, so {word}."
