"""The script to read aloud: as plain text, and as a page to print with cue marks in its margin.

The page is one file: no script, no font, no picture from elsewhere. Everything from the session is
escaped.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from overlays.model.outline import Beat, Cue, Outline, Sentence

__all__ = ["script_page", "script_text"]

_STYLE = """
:root { color-scheme: light; }
body { font: 1.25rem/1.6 Georgia, serif; color: #111; background: #fff; margin: 2rem auto;
       max-width: 52rem; padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .25rem; }
h2 { font-size: 1.15rem; margin: 2.2rem 0 .6rem; padding-top: .4rem; border-top: 2px solid #111;
     display: flex; justify-content: space-between; gap: 1rem; break-after: avoid; }
.part { display: grid; grid-template-columns: 13rem 1fr; gap: 0 1.25rem; break-inside: avoid; }
.part p { margin: 0 0 .75rem; }
.marks { font: .8rem/1.35 ui-monospace, Consolas, monospace; text-align: right; color: #333; }
.marks b { display: block; border-left: 0; overflow-wrap: anywhere; }
.marks div { border-right: 3px solid #111; padding-right: .5rem; margin: .3rem 0 .5rem; }
.time, .note { font: .8rem/1.4 ui-monospace, Consolas, monospace; color: #333; font-weight: 400; }
mark { background: none; color: inherit; border-bottom: 2px solid #111; }
@media (max-width: 40rem) { .part { grid-template-columns: 1fr; } .marks { text-align: left; }
  .marks div { border-right: 0; border-left: 3px solid #111; padding: 0 0 0 .5rem; } }
@media print { body { font-size: 14pt; margin: 0; max-width: none; } @page { margin: 18mm; } }
"""


def script_text(outline: Outline) -> str:
    """Write the script as plain text: headings with their times, and what is read aloud."""
    parts: list[str] = []
    for beat in outline.beats:
        parts.append(f"{beat.title}  [{outline.timebase.label(beat.first_frame)}]")
        paragraphs: dict[int, list[str]] = {}
        for sentence in beat.sentences:
            paragraphs.setdefault(sentence.paragraph, []).append(sentence.aloud)
        parts += [" ".join(sentences) for sentences in paragraphs.values()]
    return "\n\n".join(parts) + "\n"


def script_page(outline: Outline, *, title: str, cautions: tuple[str, ...] = ()) -> str:
    """Write the script as a page to print.

    Parameters
    ----------
    outline : Outline
        The script, timed. Numbers that were filled in from figures are underlined.
    title : str
        Of the episode.
    cautions : tuple of str
        Set at the head, so that whoever stands at the bench reads them first.
    """
    heads = "".join(f'<p class="note">{escape(caution)}</p>\n' for caution in cautions)
    beats = "".join(_beat(beat, outline) for beat in outline.beats)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}: script</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{escape(title)}</h1>\n{heads}{beats}</body>\n</html>\n"
    )


def _beat(beat: Beat, outline: Outline) -> str:
    label = outline.timebase.label(beat.first_frame)
    length = f"{float(beat.frames / outline.timebase.rate):.1f} s"
    head = (
        f'<h2 id="{escape(beat.beat)}"><span>{escape(beat.title)}</span>'
        f'<span class="time">{label} · {length} · {escape(beat.timed_by)}</span></h2>\n'
    )
    return head + "".join(
        f'<div class="part"><div class="marks">{_marks(cues, outline)}</div>'
        f"<p>{_sentences(sentences)}</p></div>\n"
        for cues, sentences in _parts(beat)
    )


def _parts(beat: Beat) -> Iterator[tuple[list[Cue], list[Sentence]]]:
    """Part a beat at its paragraphs and wherever a cue comes in, so that marks stand beside it."""
    waiting = list(beat.cues)
    cues: list[Cue] = []
    sentences: list[Sentence] = []
    for place, sentence in enumerate(beat.sentences):
        following = beat.sentences[place + 1 : place + 2]
        end = following[0].first_frame if following else beat.first_frame + beat.frames
        own = [cue for cue in waiting if cue.first_frame < end]
        waiting = waiting[len(own) :]
        if sentences and (own or sentence.paragraph != sentences[-1].paragraph):
            yield cues, sentences
            cues, sentences = [], []
        cues = cues + own
        sentences = [*sentences, sentence]
    if sentences or cues or waiting:
        yield cues + waiting, sentences


def _marks(cues: list[Cue], outline: Outline) -> str:
    rate = outline.timebase.rate
    return "".join(
        f"<div><b>{escape(cue.cue)}</b>{escape(cue.kind)}<br>"
        f"{outline.timebase.label(cue.first_frame)} · {float(cue.frames / rate):.1f} s</div>"
        for cue in cues
    )


def _sentences(sentences: list[Sentence]) -> str:
    return " ".join(_sentence(sentence) for sentence in sentences)


def _sentence(sentence: Sentence) -> str:
    parts: list[str] = []
    end = 0
    for filling in sentence.fillings:
        parts.append(escape(sentence.text[end : filling.start]))
        parts.append(f"<mark>{escape(filling.aloud)}</mark>")
        end = filling.end
    return "".join([*parts, escape(sentence.text[end:])])
