"""Which files are opened as films: those that hold their pictures themselves, and nothing else."""

from __future__ import annotations

import os
import struct
from pathlib import Path

import av
import numpy as np
import pytest
from av.container import InputContainer

from overlays.checks.footage import still_of
from overlays.checks.probe import probe
from overlays.errors import FootageError, TurnoverError
from overlays.films import MOST_PIXELS, film_container, opened_film, program_name

# What each is: RFC 8216, FFmpeg's documentation of its concat demuxer, ISO/IEC 23009-1, RFC 4566.
LISTS = {
    "playlist": "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n{film}\n#EXT-X-ENDLIST\n",
    "far playlist": "#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:9/a.ts\n#EXT-X-ENDLIST\n",
    "concat list": "ffconcat version 1.0\nfile '{film}'\n",
    "manifest": '<?xml version="1.0"?><MPD profiles="urn:mpeg:dash:profile:isoff-main:2011"/>',
    "session": "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\n"
    "m=video 5004 RTP/AVP 96\na=rtpmap:96 H264/90000\n",
    "words": "hello\n" * 200,
    "nothing": "",
}


def film(path: Path, grey: int = 128) -> Path:
    """Write three grey frames."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=25)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "yuv420p"
        for _ in range(3):
            picture = np.full((16, 16, 3), grey, np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode(None))
    return path


@pytest.mark.parametrize("ending", ["mp4", "mov", "mkv", "avi"])
def test_a_film_is_opened(tmp_path: Path, ending: str) -> None:
    """Also where its name would be a protocol's, or an option's, to FFmpeg."""
    for name in (f"a.{ending}", f"concat:b.{ending}", f"-y.{ending}", f"100%d.{ending}"):
        plain = film(tmp_path / f"plain.{ending}")
        with opened_film(plain.rename(tmp_path / name)) as container:
            assert sum(1 for _ in container.decode(video=0)) == 3


@pytest.mark.parametrize("what", LISTS)
@pytest.mark.parametrize("ending", ["mp4", "mov", "avi", "mkv"])
def test_lists_that_lead_elsewhere_are_refused(tmp_path: Path, what: str, ending: str) -> None:
    """Whatever they are called: nothing but the file itself is opened."""
    film(tmp_path / "film.mp4")
    listed = tmp_path / f"bench.{ending}"
    listed.write_text(LISTS[what].replace("{film}", "film.mp4"), encoding="utf-8")
    with pytest.raises(FootageError) as caught, opened_film(listed):
        pass
    (problem,) = caught.value.problems()
    assert (problem.code, problem.file) == ("unreadable-footage", listed.name)
    assert still_of(listed, 16, 16) == {}
    with pytest.raises(TurnoverError):
        probe(listed)


def _nested(data: bytes, path: tuple[bytes, ...], change: bytes) -> bytes:
    """Replace the box at a path of boxes; the sizes above it follow (ISO/IEC 14496-12, 4.2)."""
    at = 8 if data[4:8] in (b"moov", b"trak", b"mdia", b"minf") else 0
    while data[at + 4 : at + 8] != path[0]:
        at += struct.unpack(">I", data[at : at + 4])[0]
    size = struct.unpack(">I", data[at : at + 4])[0]
    inner = change
    if len(path) > 1:
        inner = _nested(data[at : at + size], path[1:], change)
        inner = struct.pack(">I", len(inner)) + inner[4:]
    return data[:at] + inner + data[at + size :]


def _alias(name: str) -> bytes:
    """Return a data information box whose one reference is an alias record of that file."""
    path = name.encode() + b"\0" * (len(name) % 2)
    record = bytes(10) + b"\1v".ljust(28, b"\0") + bytes(12)
    record += bytes([len(name)]) + name.encode().ljust(63, b"\0") + bytes(16)
    record += struct.pack(">hh", 1, 1) + bytes(16)
    record += struct.pack(">hh", 2, len(path)) + path + struct.pack(">hh", -1, 0)
    entry = struct.pack(">I4sI", 12 + len(record), b"alis", 0) + record
    references = struct.pack(">I4sII", 16 + len(entry), b"dref", 0, 1) + entry
    return struct.pack(">I4s", 8 + len(references), b"dinf") + references


def test_a_reference_to_another_file_is_not_followed(tmp_path: Path) -> None:
    """A QuickTime film may say that its samples lie in another file (QTFF, "alis").

    FFmpeg follows that only when told to; then, so that this test could fail, the other is seen.
    """
    dark = film(tmp_path / "dark.mov", grey=20)
    own = film(tmp_path / "own.mov", grey=200).read_bytes()
    path = (b"moov", b"trak", b"mdia", b"minf", b"dinf")
    (tmp_path / "a.mov").write_bytes(_nested(own, path, _alias(dark.name)))

    def shades(container: InputContainer) -> list[float]:
        with container:
            return [frame.to_ndarray(format="gray").mean() for frame in container.decode(video=0)]

    followed = av.open(str(tmp_path / "a.mov"), options={"enable_drefs": "1"})
    assert shades(followed) == pytest.approx([20] * 3, abs=12)
    assert shades(film_container(tmp_path / "a.mov")) == []


def test_frames_that_no_memory_holds_are_refused(tmp_path: Path) -> None:
    """A film of a few bytes may claim frames of any size; 8K (7680 x 4320) is taken."""
    assert MOST_PIXELS > 7680 * 4320
    target = tmp_path / "huge.avi"
    with av.open(str(target), "w") as container:
        stream = container.add_stream("rawvideo", rate=25)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "yuv420p"
        container.mux(stream.encode(av.VideoFrame(16, 16, "yuv420p")))
    content = target.read_bytes()
    at = content.index(b"strf") + 8  # BITMAPINFOHEADER: size, width, height
    content = content[: at + 4] + struct.pack("<ii", 12000, 12000) + content[at + 12 :]
    target.write_bytes(content)
    with pytest.raises(FootageError, match="12000 x 12000") as caught, opened_film(target):
        pass
    assert caught.value.code == "unreadable-footage"
    with pytest.raises(TurnoverError, match="12000 x 12000"):
        probe(target)


@pytest.mark.skipif(os.name == "nt", reason="no named pipes in folders there")
def test_a_pipe_and_a_folder_are_refused(tmp_path: Path) -> None:
    """Opening a pipe would wait for somebody to write."""
    os.mkfifo(tmp_path / "a.mp4")
    (tmp_path / "b.mp4").mkdir()
    for name in ("a.mp4", "b.mp4", "none.mp4"):
        with pytest.raises(FootageError), opened_film(tmp_path / name):
            pass


def test_a_name_is_one_of_a_file_to_ffmpeg(tmp_path: Path) -> None:
    """FFmpeg's documentation, "file" protocol: what follows the colon is a path."""
    assert program_name(tmp_path / "concat:a") == f"file:{tmp_path.resolve() / 'concat:a'}"


def test_notes_in_another_encoding_stop_nothing(tmp_path: Path) -> None:
    """Cameras write titles in Latin-1 or worse: the film is opened and read all the same."""
    plain = tmp_path / "a.mov"
    with av.open(str(plain), "w") as container:
        container.metadata["title"] = "Pruefstand"
        stream = container.add_stream("mpeg4", rate=25)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "yuv420p"
        picture = np.full((16, 16, 3), 128, np.uint8)
        container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode(None))
    stored = plain.read_bytes()
    assert stored.count(b"Pruefstand") == 1
    plain.write_bytes(stored.replace(b"Pruefstand", b"Pr\xfcf\x96stand"))
    assert probe(plain).frames == 1
    assert still_of(plain, 16, 16)["footage"].shape == (16, 16, 3)


def test_pictures_that_nothing_decodes_are_told(tmp_path: Path) -> None:
    """A film whose pictures are stored in a way nobody knows is one clear error."""
    path = tmp_path / "a.mov"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("qtrle", rate=25)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "rgb24"
        container.mux(stream.encode(av.VideoFrame(16, 16, "rgb24")))
        container.mux(stream.encode(None))
    assert probe(path).codec == "qtrle"
    path.write_bytes(path.read_bytes().replace(b"rle ", b"zz\x01\x02"))
    with pytest.raises(TurnoverError, match="not known"):
        probe(path)
    with pytest.raises(FootageError, match="not known") as caught, opened_film(path):
        pass
    assert caught.value.code == "unreadable-footage"
