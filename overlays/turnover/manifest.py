"""The manifest: what a turnover claims to hold, clip by clip.

``manifest.json`` is the one list that everything else in a turnover is made from and proved
against. Paths are relative to the folder it lies in.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

from overlays.errors import TurnoverError
from overlays.files import write_text_whole
from overlays.model.clip import CODECS
from overlays.model.plain_text import clean_text
from overlays.model.session import Session
from overlays.render.batch import Rendered
from overlays.session.stored import stored_bytes
from overlays.timecode import Timebase, parse_rate, rate_text

__all__ = [
    "CLIPS_FOLDER",
    "MANIFEST_FILE",
    "Manifest",
    "ManifestClip",
    "make_manifest",
    "read_manifest",
    "write_manifest",
]

CLIPS_FOLDER = "clips"
MANIFEST_FILE = "manifest.json"
_LARGEST = 50_000_000

Count = Annotated[int, Field(ge=0)]
Size = Annotated[int, Field(ge=1)]
# Unknown keys and lenient types are refused: a manifest is a claim, not a suggestion.
_STRICT = ConfigDict(extra="forbid", strict=True)


@dataclass(frozen=True, slots=True)
class ManifestClip:
    """One clip as the manifest lists it; the fields are the keys of the JSON.

    Parameters
    ----------
    cue, kind, beat : str
        Ids.
    file : str
        Path from the turnover's folder, ``/`` between names; a folder of numbered files for the
        codec ``png``.
    record_in : str
        Timecode of the cue's own first frame, handles left out.
    first_frame : int
        The same place as a frame number of the timeline.
    frames : int
        Frames in the whole file, both handles counted in.
    handles : (int, int)
        Extra frames before and after the cue. The file's start timecode is `record_in` less the
        first of them.
    rate : str
        Frames per second, exact: ``"30000/1001"``.
    width, height : int
        In pixels.
    codec : str
        Name of the codec, as on the command line.
    alpha : {"straight"}
        Colour is never multiplied by alpha.
    sha256 : str
        Of the file, in hexadecimal. Of a folder of numbered files it is that of the text
        ``HEX␣␣NAME⏎`` for each file in order of names, HEX being the file's own: what
        ``sha256sum * | sha256sum`` prints inside it (GNU coreutils).
    figures : tuple of str
        ``"figure.entry"`` of every figure shown, by their keys in the session.
    description : str
        What the overlay shows, in words.
    leaves : bool
        Whether it leaves before its cue ends, so that the tail handle is empty; where it stands on,
        which is usual, the key is left out.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT

    cue: str
    kind: str
    beat: str
    file: str
    record_in: str
    first_frame: Count
    frames: Size
    handles: tuple[Count, Count]
    rate: str
    width: Size
    height: Size
    codec: str
    alpha: Literal["straight"]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    figures: tuple[str, ...]
    description: str
    leaves: bool = False

    @property
    def cue_frames(self) -> int:
        """Length of the cue, without handles."""
        return self.frames - sum(self.handles)

    @property
    def end_frame(self) -> int:
        """The first frame of the timeline after the cue."""
        return self.first_frame + self.cue_frames

    @property
    def file_first_frame(self) -> int:
        """Where the file's own first frame lies on the timeline."""
        return self.first_frame - self.handles[0]


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a turnover claims to hold.

    Parameters
    ----------
    session : str
        Name of the session's folder.
    rate : str
        Frames per second of the timeline, exact.
    canvas : (int, int)
        Width and height in pixels.
    clips : tuple of ManifestClip
        In order of time.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT

    session: str
    rate: str
    canvas: tuple[Size, Size]
    clips: tuple[ManifestClip, ...]

    @property
    def timebase(self) -> Timebase:
        """Rate and counting; drop-frame where the labels are written so."""
        return Timebase(self.frame_rate, any(";" in clip.record_in for clip in self.clips))

    @property
    def frame_rate(self) -> Fraction:
        """The rate as a number."""
        return parse_rate(self.rate)


def make_manifest(session: Session, rendered: Sequence[Rendered], *, codec: str) -> Manifest:
    """List rendered clips.

    Parameters
    ----------
    session : Session
        The episode's session.
    rendered : sequence of Rendered
        Its clips, in the folder ``clips`` of the turnover.
    codec : str
        They were encoded with.

    Raises
    ------
    TurnoverError
        If a clip's file is missing.
    """
    if codec not in CODECS:
        raise ValueError(f"{codec!r} is no codec; expected one of {', '.join(CODECS)}")
    spec = session.spec.episode
    in_order = sorted(rendered, key=lambda item: (item.clip.first_frame, item.clip.cue))
    name = clean_text(session.folder.resolve().name)
    clips = tuple(_listed(item, codec) for item in in_order)
    return Manifest(name, rate_text(spec.rate), spec.canvas, clips)


def _listed(item: Rendered, codec: str) -> ManifestClip:
    clip = item.clip
    if not item.path.exists():
        raise TurnoverError(
            f"the clip {clip.file!r} is missing.",
            code="missing-file",
            file=f"{CLIPS_FOLDER}/{clip.file}",
            remedy="Render the clip again.",
        )
    return ManifestClip(
        cue=clip.cue,
        kind=clip.kind,
        beat=clip.beat,
        file=f"{CLIPS_FOLDER}/{clip.file}",
        record_in=clip.timebase.label(clip.first_frame),
        first_frame=clip.first_frame,
        frames=clip.frames,
        handles=clip.handles,
        rate=rate_text(clip.stage.rate),
        width=clip.stage.width,
        height=clip.stage.height,
        codec=codec,
        alpha="straight",
        sha256=item.sha256,
        figures=tuple(dict.fromkeys(f"{figure}.{entry}" for figure, entry in clip.figures)),
        description=clean_text(clip.description),
        leaves=clip.stage.leave > 0,
    )


def write_manifest(manifest: Manifest, file: Path) -> None:
    """Write a manifest as JSON, whole or not at all; the same manifest gives the same bytes.

    Raises
    ------
    WorkError
        As `overlays.files.written_whole`.
    """
    listed = asdict(manifest)
    for clip in listed["clips"]:
        if not clip["leaves"]:
            del clip["leaves"]
    text = json.dumps(listed, ensure_ascii=False, indent=2, allow_nan=False)
    write_text_whole(file, text + "\n")


def read_manifest(file: Path) -> Manifest:
    """Read a manifest and hold it to its form.

    Raises
    ------
    TurnoverError
        If there is none, or a key is missing, unknown or of the wrong kind (``field`` says which).
    """
    try:
        stored = stored_bytes(file, largest=_LARGEST, file=file.name, raises=TurnoverError)
        return TypeAdapter(Manifest).validate_json(stored)
    except OSError as error:
        raise _bad(f"cannot be read: {error.strerror or error}", file) from error
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise _bad(f"has the wrong form: {_told(first)}", file, first["loc"]) from error


def _told(error: Mapping[str, Any]) -> str:
    message = str(error["msg"])
    if error["type"] in ("missing", "json_invalid"):
        return message[0].lower() + message[1:]
    return f"found {clean_text(repr(error['input']))[:80]}; {message[0].lower()}{message[1:]}"


def _bad(what: str, file: Path, loc: tuple[int | str, ...] = ()) -> TurnoverError:
    return TurnoverError(
        f"the manifest {what}.",
        code="bad-manifest",
        file=file.name,
        field=".".join(str(part) for part in loc) or None,
        remedy="Make the turnover again with the command 'episode'.",
    )
