"""Captions as they come: SubRip and WebVTT, with the faults that real files have."""

from __future__ import annotations

from pathlib import Path

import pysubs2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.errors import OutlineError, Problems
from overlays.outline.voice.captions import Caption, find_captions, read_captions
from tests.outline.bench import report

FOLDER = Path(__file__).parents[2] / "data" / "captions"


def _read(path: Path) -> tuple[tuple[Caption, ...], Problems]:
    problems = Problems()
    return read_captions(path, problems, file=path.name), problems


def _written(folder: Path, content: str | bytes, name: str = "captions.vtt") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def _times(captions: tuple[Caption, ...]) -> list[list[int]]:
    return [[caption.start_ms, caption.end_ms] for caption in captions]


def test_case_byte_order_mark_and_carriage_returns() -> None:
    """The first caption is not lost, and no carriage return is left in the text."""
    captions, problems = _read(FOLDER / "srt_bom_crlf.srt")
    assert _times(captions) == [[1000, 2500], [3040, 4000], [60000, 62250]]
    assert [caption.text for caption in captions] == ["Start", "Top speed", "Finish"]
    assert problems.found == []


def test_case_no_numbers() -> None:
    """Captions without numbers are read."""
    captions, problems = _read(FOLDER / "srt_no_index.srt")
    assert _times(captions) == [[1000, 2000], [3000, 4000]]
    assert problems.found == []


def test_case_overlap_is_kept_and_told() -> None:
    """Both captions keep their times, and the overlap of 750 ms is told."""
    captions, problems = _read(FOLDER / "srt_overlap.srt")
    assert _times(captions) == [[7200, 9000], [8250, 10500]]
    assert report(problems) == [("captions-overlap", 6)]
    assert "captions 1 and 2 overlap by 750 ms" in problems.found[0].message


def test_case_hours_left_out() -> None:
    """02:07 is minutes and seconds; an hour field may have three digits; a NOTE is no caption."""
    captions, problems = _read(FOLDER / "vtt_hours_omitted.vtt")
    assert _times(captions) == [[127250, 129500], [360000000, 360002000]]
    assert [caption.text for caption in captions] == ["A", "B"]
    assert problems.found == []


def test_case_bad_times_are_refused_by_number() -> None:
    """End before start, no length and a start before zero are refused; the first is fine."""
    captions, problems = _read(FOLDER / "srt_bad_times.srt")
    assert _times(captions) == [[1000, 2000]]
    assert report(problems) == [("bad-caption", 6), ("bad-caption", 10), ("bad-caption", 14)]
    messages = [problem.message for problem in problems.errors]
    assert "caption 2" in messages[0]
    assert "1000 ms before it begins" in messages[0]
    assert "caption 3" in messages[1]
    assert "no length" in messages[1]
    assert "caption 4" in messages[2]
    assert "-00:00:01.000" in messages[2]


@pytest.mark.parametrize("name", ["srt_bom_crlf.srt", "srt_no_index.srt", "srt_overlap.srt",
                                  "vtt_hours_omitted.vtt"])  # fmt: skip
def test_pysubs2_reads_the_same(name: str) -> None:
    """pysubs2 1.8.1 finds the same times and texts in every file that has no fault."""
    captions, _ = _read(FOLDER / name)
    theirs = pysubs2.load(str(FOLDER / name), encoding="utf-8-sig")
    assert [(c.start_ms, c.end_ms, c.text) for c in captions] == [
        (event.start, event.end, event.plaintext) for event in theirs
    ]


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(0, 2000), st.integers(1, 5000),
                  st.text(alphabet="abc éß東,.'", min_size=1, max_size=20).filter(str.strip)),
        min_size=1, max_size=8,
    ),
    st.sampled_from(["srt", "vtt"]),
)  # fmt: skip
def test_what_pysubs2_writes_is_read(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[int, int, str]], kind: str
) -> None:
    """Captions written by pysubs2 come back with their times and words."""
    subs = pysubs2.SSAFile()
    at = 0
    for gap, length, text in rows:
        subs.append(pysubs2.SSAEvent(start=at + gap, end=at + gap + length, text=text))
        at += gap + length
    folder = tmp_path_factory.mktemp("captions")
    path = _written(folder, subs.to_string(kind), f"captions.{kind}")
    captions, problems = _read(path)
    assert problems.errors == ()
    assert [(c.start_ms, c.end_ms) for c in captions] == [(e.start, e.end) for e in subs]


VTT = """WEBVTT - a title
Kind: captions

STYLE
::cue { color: red }

NOTE
00:00:00.000 --> 00:00:09.000 is no caption

one
00:00:01.000 --> 00:00:04.000 align:start position:0%
<v Host>The <00:00:01.500><c>alder </c><00:00:02.000><c>pad</c> &amp; more [music]
second line

00:00:05.000 --> 00:00:06.000
<i>plain</i> text
"""


def test_webvtt_with_everything(tmp_path: Path) -> None:
    """Styles, comments, ids, settings, voices, tags, entities and sounds are not words."""
    captions, problems = _read(_written(tmp_path, VTT))
    assert problems.found == []
    assert [(c.number, c.line, c.text) for c in captions] == [
        (1, 11, "The alder pad & more second line"),
        (2, 15, "plain text"),
    ]


def test_word_times_are_exact(tmp_path: Path) -> None:
    """A word behind a time tag begins there; the others say how far off they may be."""
    captions, _ = _read(_written(tmp_path, VTT))
    words = {word.text: word for word in captions[0].words}
    assert [(words[w].start_ms, words[w].within_ms) for w in ("The", "alder", "pad")] == [
        (1000, 0), (1500, 0), (2000, 0)
    ]  # fmt: skip
    assert words["alder"].end_ms == 2000
    assert 2000 < words["more"].start_ms < words["second"].start_ms < 4000
    assert words["more"].within_ms > 0


def test_words_without_times_lie_by_their_letters(tmp_path: Path) -> None:
    """Four letters and two blanks: the second word begins after three sixths."""
    captions, _ = _read(
        _written(tmp_path, "1\n00:00:00,000 --> 00:00:06,000\nab cd\n", "captions.srt")
    )
    first, second = captions[0].words
    assert (first.start_ms, first.end_ms, first.within_ms) == (0, 3000, 0)
    assert (second.start_ms, second.end_ms) == (3000, 6000)
    assert second.within_ms > 0


def test_times_within_a_caption_cannot_run_backward(tmp_path: Path) -> None:
    """A word time before its caption, after it, or backward is ignored."""
    captions, _ = _read(
        _written(
            tmp_path,
            "WEBVTT\n\n00:00:05.000 --> 00:00:08.000\n"
            "a <00:00:01.000>b <00:00:07.000>c <00:00:06.000>d <00:00:09.000>e\n",
        )
    )
    starts = [word.start_ms for word in captions[0].words]
    assert starts == sorted(starts)
    assert starts[0] == 5000
    assert 7000 in starts


def test_lines_that_roll_up_are_said_once(tmp_path: Path) -> None:
    """A line that stays on screen while the next is said is not said again."""
    captions, _ = _read(
        _written(
            tmp_path,
            "WEBVTT\n\n00:00:01.000 --> 00:00:03.000\none<00:00:02.000> two\n\n"
            "00:00:03.000 --> 00:00:03.010\none two\n\n"
            "00:00:03.010 --> 00:00:05.000\none two\nthree<00:00:04.000> four\n",
        )
    )
    assert [word.text for c in captions for word in c.words] == ["one", "two", "three", "four"]


def test_empty_lines_within_subrip_captions(tmp_path: Path) -> None:
    """A SubRip caption goes on until the next one's times."""
    path = _written(
        tmp_path,
        "1\n00:00:01,000 --> 00:00:02,000\nfirst\n\nstill first\n\n2\n"
        "00:00:03.000 --> 00:00:04.000\n- second\n",
        "captions.srt",
    )
    captions, problems = _read(path)
    assert [caption.text for caption in captions] == ["first still first", "second"]
    assert problems.found == []


def test_captions_out_of_order_are_sorted_and_told(tmp_path: Path) -> None:
    """Captions come in order of time whatever their order in the file."""
    path = _written(
        tmp_path,
        "1\n00:00:05,000 --> 00:00:06,000\nb\n\n2\n00:00:01,000 --> 00:00:02,000\na\n",
        "captions.srt",
    )
    captions, problems = _read(path)
    assert [caption.text for caption in captions] == ["a", "b"]
    assert [problem.code for problem in problems.found] == ["captions-out-of-order"]


def test_many_overlaps_are_told_in_short(tmp_path: Path) -> None:
    """Twenty overlaps are listed, and how many more there are."""
    blocks = "\n".join(f"{n}\n00:00:01,000 --> 00:00:59,000\nword\n" for n in range(1, 41))
    captions, problems = _read(_written(tmp_path, blocks, "captions.srt"))
    assert len(captions) == 40
    assert [problem.code for problem in problems.found] == ["captions-overlap"] * 20
    assert "19 more pairs" in problems.found[0].message


@pytest.mark.parametrize(
    "times",
    [
        "00:00:01 --> 00:00:02,000", "00:61:00,000 --> 00:62:00,000", "0:0:1,0 --> 0:0:2,0",
        "00:00:01,000 --> soon", "-->", "00:00:01,000 -->", "00:00:01,00 --> 00:00:02,00",
    ],
)  # fmt: skip
def test_times_of_another_form_are_refused(tmp_path: Path, times: str) -> None:
    """What cannot be read exactly is refused by number, not guessed."""
    path = _written(tmp_path, f"1\n{times}\ntext\n", "captions.srt")
    captions, problems = _read(path)
    assert captions == ()
    assert report(problems) == [("bad-caption", 2)]
    assert "caption 1" in problems.found[0].message


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "no-captions"),
        (b"just text\n", "no-captions"),
        (b"WEBVTT\n\nNOTE nothing\n", "no-captions"),
        (b"1\n00:00:01,000 --> 00:00:02,000\nna\xefve\n", "not-utf8"),
        (b"\xff\xfe1", "not-utf8"),
    ],
)
def test_files_that_are_no_captions_are_refused(tmp_path: Path, content: bytes, code: str) -> None:
    """Empty files, other text and other encodings are one error each."""
    with pytest.raises(OutlineError) as caught:
        _read(_written(tmp_path, content, "captions.srt"))
    assert (caught.value.code, caught.value.file) == (code, "captions.srt")


def test_utf16_is_read_by_its_mark(tmp_path: Path) -> None:
    """Captions saved as UTF-16 with a mark are read."""
    text = "1\n00:00:01,000 --> 00:00:02,000\nÖl\n"
    captions, _ = _read(_written(tmp_path, text.encode("utf-16"), "captions.srt"))
    assert captions[0].text == "Öl"


def test_harmful_characters_are_no_words(tmp_path: Path) -> None:
    """Terminal escapes and direction overrides do not survive, also written as entities."""
    path = _written(
        tmp_path, "WEBVTT\n\n00:00:01.000 --> 00:00:02.000\na\x1b[2Jb &#27;[2J \u202ec\n"
    )
    captions, _ = _read(path)
    assert captions[0].text == "ab [2J c"
    assert captions[0].text.isprintable()


def test_captions_are_found_by_name(tmp_path: Path) -> None:
    """A session has one file of captions or none."""
    assert find_captions(tmp_path) is None
    _written(tmp_path, VTT)
    assert find_captions(tmp_path) == "captions.vtt"
    _written(tmp_path, "x", "captions.srt")
    with pytest.raises(OutlineError, match="only one"):
        find_captions(tmp_path)


@settings(max_examples=60)
@given(st.text(max_size=300), st.sampled_from(["", "WEBVTT\n\n", "1\n"]))
def test_any_text_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, text: str, head: str
) -> None:
    """Whatever the file holds, captions have a length and words within it."""
    path = tmp_path_factory.mktemp("captions") / "captions.srt"
    path.write_bytes((head + text).encode("utf-8", "surrogatepass"))
    problems = Problems()
    captions: tuple[Caption, ...] = ()
    with problems.collecting():
        captions = read_captions(path, problems, file="captions.srt")
    assert captions or problems.errors
    for caption in captions:
        assert 0 <= caption.start_ms < caption.end_ms
        assert all(caption.start_ms <= w.start_ms <= w.end_ms <= caption.end_ms
                   for w in caption.words)  # fmt: skip
