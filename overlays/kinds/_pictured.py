"""What kinds take from a session's pictures: an entry's, and the episode's logo; their boxes."""

from __future__ import annotations

from overlays.draw.picture import MOST_ENLARGED, Picture, read_picture
from overlays.errors import SessionError
from overlays.model.result import Results
from overlays.model.session import Session
from overlays.session.paths import inside

__all__ = [
    "BOX_HEIGHT",
    "BOX_WIDTH",
    "entry_picture",
    "logo",
    "picture_doubts",
    "pictures_declared",
    "session_picture",
]

# The largest box that a layout gives a picture, in a style's lengths.
BOX_WIDTH, BOX_HEIGHT = 240, 160


def pictures_declared(session: Session) -> tuple[tuple[str, ...], ...]:
    """Return the places in session.toml that name a picture, such as (episode, logo)."""
    spec = session.spec
    return (
        *((("episode", "logo"),) if spec.episode.logo is not None else ()),
        *(
            ("entries", key, "picture")
            for key, entry in spec.entries.items()
            if entry.picture is not None
        ),
    )


def session_picture(session: Session, *place: str) -> Picture:
    """Read the picture named at a place of session.toml, one of `pictures_declared`.

    Raises
    ------
    SessionError
        As `overlays.draw.picture.read_picture`, with that place and its line.
    """
    spec = session.spec
    written = spec.episode.logo if place[0] == "episode" else spec.entries[place[1]].picture
    try:
        return read_picture(inside(session.folder, written or ""), file=written or "")
    except SessionError as error:
        file, line = session.file(place[0]), session.line(*place)
        raise error.at(file=file, line=line, field=".".join(place)) from error


def entry_picture(results: Results, entry: str) -> Picture | None:
    """Return an entry's picture, None where it has none; raises as `session_picture`."""
    if results.session.spec.entries[entry].picture is None:
        return None
    return session_picture(results.session, "entries", entry, "picture")


def logo(results: Results) -> Picture | None:
    """Return the episode's logo, None where it has none; raises as `session_picture`."""
    if results.session.spec.episode.logo is None:
        return None
    return session_picture(results.session, "episode", "logo")


def picture_doubts(picture: Picture, canvas: tuple[int, int]) -> tuple[tuple[str, str, str], ...]:
    """Return what is worth a look about a picture: code, what was found, what to do."""
    scale = min(canvas) / 1080
    wide, high = picture.size
    # Smaller than its box even when enlarged as far as it may be.
    small = max(wide / BOX_WIDTH, high / BOX_HEIGHT) * MOST_ENLARGED < scale
    size = f"{round(BOX_WIDTH * scale)} x {round(BOX_HEIGHT * scale)}"
    found = [
        ("picture-as-read", f"{picture.file!r} {note}", "Look at it in a preview.")
        for note in picture.notes
    ]
    if small:
        said = f"{picture.file!r} has {wide} x {high} pixels and is shown small; expected {size}."
        found.append(("small-picture", said, "Supply a larger one."))
    return tuple(found)
