"""What the recorded voice says, as it is captioned."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.errors import Problems
from overlays.model.outline import Filling, Sentence
from overlays.outline.narration import fill_sentence
from overlays.outline.voice.hearing import Voice
from overlays.outline.voice.said import TimedWord, said_by_beat, shown_groups
from overlays.outline.voice.tokens import Ear
from tests.outline.bench import make_results, make_session, read
from tests.outline.voices import captions_srt, captions_vtt, read_aloud, spoil, voice_of

EAR = Ear({"g": ("grams",)})


def _said(script: str, heard: str) -> list[str]:
    """Return what is captioned of each beat, the script being its words."""
    voice = voice_of(script, heard)
    narrations = [(Sentence(text.strip(), text.strip(), 0, 1, ()),) for text in script.split("|")]
    found = said_by_beat(voice, narrations)
    return [" ".join(word.text for word in found.get(k, ())) for k in range(len(narrations))]


def test_the_scripts_words_stand_at_the_times_they_are_heard() -> None:
    """Recognised words are written as in the script, and timed by the captions."""
    voice = voice_of("alder bites first and dune", "so alder bites first and dune")
    sentence = Sentence("Alder bites first, and – Dune.", "", 0, 1, ())
    words = said_by_beat(voice, [(sentence,)])[0]
    assert words == (
        TimedWord("Alder", 400, 800),
        TimedWord("bites", 800, 1200),
        TimedWord("first,", 1200, 1600),
        TimedWord("and", 1600, 2000),
        # A dash makes no sound: it shares the time of the word behind it.
        TimedWord("–", 2000, 2066),
        TimedWord("Dune.", 2066, 2400),
    )


def test_a_misheard_word_is_written_as_in_the_script() -> None:
    """Recognition does not spell better than the host, and a stammer is not for reading."""
    assert _said("alder bites first and dune", "elder bites first first and june") == [
        "alder bites first and dune"
    ]


def test_an_ad_lib_is_written_as_captioned() -> None:
    """Four words more than the script has are shown where they are said; an "um" is not."""
    script = "alder bites first here | dune comes later today"
    heard = "alder bites first here you should have smelled that um dune comes later today"
    assert _said(script, heard) == [
        "alder bites first here you should have smelled that um",
        "dune comes later today",
    ]
    assert _said(script, "alder bites um first here dune comes later today")[0] == (
        "alder bites first here"
    )


def test_words_left_out_are_not_captioned() -> None:
    """A sentence of the script that nobody says is not written."""
    script = "alder bites first here and then lets go quite early it keeps its price down"
    heard = "alder bites first here it keeps its price down"
    assert _said(script, heard) == ["alder bites first here it keeps its price down"]


def test_other_words_of_the_same_number_are_written_as_captioned() -> None:
    """As many words as the script has, sounding otherwise, are no mishearing."""
    script = "alder bites first here with all its might behind it and dune comes later"
    heard = "alder bites first here while our dog sleeps under that and dune comes later"
    assert _said(script, heard) == [heard]


def test_a_first_take_is_captioned_for_it_is_heard() -> None:
    """Until the spare take is cut, both are in the recording."""
    script = "dune hardly notices | cobble takes twice as long over it"
    heard = "dune hardly notices cobble takes twice as cobble takes twice as long over it"
    assert " ".join(_said(script, heard)) == heard


def test_a_beat_nobody_said_is_left_out() -> None:
    """Its captions are estimated elsewhere."""
    script = "alder bites first here | cobble was never said | dune comes later today"
    voice = voice_of(script, "alder bites first here dune comes later today")
    sentences = [Sentence(text.strip(), "", 0, 1, ()) for text in script.split("|")]
    assert sorted(said_by_beat(voice, [(one,) for one in sentences])) == [0, 2]
    assert said_by_beat(voice_of("a b c", ""), [(Sentence("a b c", "", 0, 1, ()),)]) == {}


def test_a_figure_keeps_together_with_its_unit(tmp_path: Path) -> None:
    """Six words are said for the two that are written, glued punctuation included."""
    results = make_results(make_session(tmp_path))
    sentence = fill_sentence("It has ({alder cold_mean}), so.", results, Problems(), file="o")
    assert list(shown_groups(sentence, Ear({}))) == [
        (("It",), 1), (("has",), 1), (("(86.4", "N·m),"), 6), (("so.",), 1),
    ]  # fmt: skip


@st.composite
def _sentences(draw: st.DrawFn) -> Sentence:
    """Return a sentence with fillings anywhere in it."""
    text, fillings = "", list[Filling]()
    for _ in range(draw(st.integers(1, 6))):
        text += draw(st.text("ab 1-.,–'", max_size=6))
        if draw(st.booleans()):
            written = draw(st.sampled_from(["86.4 N·m", "21 g", "half", "–"]))
            aloud = draw(st.sampled_from(["eighty six point four newton metres", "half", "none"]))
            fillings.append(Filling(len(text), len(text) + len(written), "", aloud, ()))
            text += written
    return Sentence(text, text, 0, 1, tuple(fillings))


@given(_sentences())
def test_groups_hold_every_word_and_every_sound(sentence: Sentence) -> None:
    """However figures are glued to words, nothing is lost and nothing counted twice."""
    groups = list(shown_groups(sentence, EAR))
    assert [text for texts, _ in groups for text in texts] == sentence.text.split()
    assert sum(sounds for _, sounds in groups) == len(EAR.text(sentence.aloud))


WORDS = st.lists(st.sampled_from(["alder", "bites", "first", "and", "dune", "lets"]), max_size=12)


@given(st.lists(WORDS, min_size=1, max_size=4), WORDS)
@settings(max_examples=150)
def test_words_follow_one_another(script: list[list[str]], heard: list[str]) -> None:
    """Whatever was heard, no word begins before the one in front of it ends."""
    texts = [" ".join(beat) for beat in script]
    voice: Voice = voice_of("|".join(texts), " ".join(heard))
    narrations = [(Sentence(text, text, 0, 1, ()),) if text else () for text in texts]
    for words in said_by_beat(voice, narrations).values():
        ends = [0, *(word.end_ms for word in words)]
        assert all(end <= word.start_ms for end, word in zip(ends, words, strict=False))
        assert all(word.start_ms <= word.end_ms for word in words)


SCRIPT = """## One

Alder bites hard, with {alder cold_mean}. Dune is calm as a pond, at {dune cold_mean} and no more.

## Two

That is {alder cold_mean minus dune cold_mean} between them; and nobody would have thought so.
"""


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("form", ["vtt", "srt"])
def test_a_spoilt_recording_still_gives_the_script(tmp_path: Path, seed: int, form: str) -> None:
    """With a tenth of the words wrong, captions hold figures as measured, near their true times."""
    plain, problems = read(tmp_path, SCRIPT)
    problems.raise_errors()
    beats = [
        [word for sentence in beat.sentences for word in sentence.aloud.split()]
        for beat in plain.beats
    ]
    true = read_aloud(beats, seed)
    write = captions_vtt if form == "vtt" else captions_srt
    text = write(spoil(true, seed, 0.1), seed)
    (tmp_path / f"captions.{form}").write_text(text, encoding="utf-8")
    outline, _ = read(tmp_path, SCRIPT)
    said = [word for beat in outline.beats for word in beat.said]
    written = " ".join(word.text for word in said)
    for figure in ("86.4 N·m.", "80.1 N·m", "6.3 N·m"):
        assert figure in written
    place = next(k for k, word in enumerate(true) if word.text == "calm")
    calm = next((word for word in said if word.text == "calm"), None)
    assert calm is not None
    assert abs(calm.first_frame / 25 - true[place].start_ms / 1000) < 0.5
