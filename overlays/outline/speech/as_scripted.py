"""Numbers heard that are the script's own: a misheard unit or word beside them is no wrong number.

Whether the data bears out a number is judged by its words (`overlays.outline.speech.judgement`),
and captions get words wrong. Where the same number stands in the script of the same beat, filled in
from the data, it is that one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from decimal import Decimal

from overlays.model.outline import Beat
from overlays.outline.speech.candidates import Candidate
from overlays.outline.speech.claims import Claim
from overlays.outline.speech.judgement import Judgement
from overlays.units import symbol

__all__ = ["as_scripted"]

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")


def as_scripted(
    claim: Claim, beat: Beat | None, *, spoken_of: Collection[str] = (), decimal_mark: str = "."
) -> Judgement | None:
    """Find a number that was heard among the figures of its beat's script.

    Parameters
    ----------
    claim : Claim
        What was heard, and what the data does not bear out by its words.
    beat : Beat or None
        The beat it was heard in.
    spoken_of : collection of str
        The entries it is about, by key; figures of others are not it. Empty where nobody is named.
    decimal_mark : str
        As the session says.

    Returns
    -------
    Judgement or None
        Supported, with a remark where another unit was heard than is written; None where the
        script has no such number.
    """
    for sentence in beat.sentences if beat is not None else ():
        for filling in sentence.fillings:
            words = set(filling.reference.split())
            if spoken_of and words.isdisjoint(spoken_of):
                continue
            written = sentence.text[filling.start : filling.end]
            if _says(claim, _numbers(written, decimal_mark)):
                found = Candidate(
                    float(claim.readings[0].value),
                    f"the script's {{{filling.reference}}}",
                    written,
                    filling.figures,
                    (),
                )
                # Points are no measure, and are written as the word.
                units = [unit if unit == "points" else symbol(unit) for unit in claim.units]
                apart = bool(units) and not set(units) & set(written.split())
                remark = f"The script has {written} there: listen to the unit." if apart else ""
                return Judgement("supported", found, "as in the script", remark)
    return None


def _numbers(written: str, decimal_mark: str) -> set[Decimal]:
    other = "," if decimal_mark == "." else "."
    texts = (
        text.replace(other, "").replace(decimal_mark, ".") for text in _NUMBER.findall(written)
    )
    return {Decimal(text) for text in texts if text.count(".") < 2}


def _says(claim: Claim, numbers: Iterable[Decimal]) -> bool:
    # A share was read as a plain ratio: 87 percent is 0.87.
    scale = 100 if claim.form in ("ratio", "excess") else 1
    said = {reading.value for reading in claim.readings}
    return any(number in (value, value * scale) for number in numbers for value in said)
