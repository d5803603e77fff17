"""House styles: tokens read from style.toml, never code.

Lengths are in thousandths of 1.08 times the canvas' shorter side, so that a token of 30 is 30
pixels at 1920x1080, 1080x1920 and 1080x1080, and 60 at 3840x2160. Times are in seconds.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    WithJsonSchema,
)

from overlays.errors import ProblemsFound, StyleError
from overlays.model.filename import refuse_file_name
from overlays.model.spec import told
from overlays.session.stored import stored_bytes
from overlays.session.toml_lines import key_lines
from overlays.session.toml_text import toml_text
from overlays.session.validation import problems_of
from overlays.style.colour import Colour

__all__ = [
    "Colours",
    "Corners",
    "Fonts",
    "Motion",
    "Spaces",
    "Strokes",
    "Style",
    "TypeScale",
    "load_style",
    "style_names",
    "style_roots",
    "style_schema",
]

_FILE = "style.toml"
_LARGEST_FILE = 200_000
_MOST = 200  # colours, dashes, and lengths of a dash


def _colour(value: object) -> object:
    if not isinstance(value, str):
        return value
    try:
        return Colour.parse(value)
    except StyleError as error:
        raise told(error.message, code=error.code, remedy=error.remedy) from error


ColourField = Annotated[
    Colour,
    BeforeValidator(_colour),
    WithJsonSchema({"type": "string", "pattern": "^#([0-9A-Fa-f]{6}|[0-9A-Fa-f]{8})$"}),
]
Length = Annotated[float, Field(gt=0, le=1000)]
Seconds = Annotated[float, Field(ge=0, le=10)]


def _in_pairs(lengths: tuple[float, ...]) -> tuple[float, ...]:
    if len(lengths) % 2:
        raise told(
            f"found {len(lengths)} lengths; expected an even number: ink and none in turn.",
            code="bad-dash",
            remedy="Add a length, or take one out.",
        )
    return lengths


def _file_name(name: str) -> str:
    if (reason := refuse_file_name(name)) is not None:
        raise told(
            f"the file name {name[:60]!r} {reason}.",
            code="bad-file-name",
            remedy="Name a font file in the style's own folder, or a packaged one.",
        )
    return name


FontFile = Annotated[str, AfterValidator(_file_name)]
Dash = Annotated[tuple[Length, ...], Field(max_length=_MOST), AfterValidator(_in_pairs)]


class Tokens(BaseModel):
    """A table of style.toml: frozen, and no key is read that is not declared."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


class Colours(Tokens):
    """Colour roles.

    Parameters
    ----------
    panel : Colour
        The backing shape, usually a little transparent.
    steel, engraved, scored : Colour
        The body of a rule, its numbered ticks and the ticks between them.
    ink : Colour
        Figures and titles.
    quiet : Colour
        Labels, units, captions.
    line : Colour
        Ticks and rules.
    grid : Colour
        Lines behind data.
    strike : Colour
        The stroke through a value that no longer holds.
    on_entry : Colour
        Text on a ground of an entry's colour.
    entries : tuple of Colour
        One an entry, in the order of the session.
    """

    panel: ColourField
    steel: ColourField
    engraved: ColourField
    scored: ColourField
    ink: ColourField
    quiet: ColourField
    line: ColourField
    grid: ColourField
    strike: ColourField
    on_entry: ColourField
    entries: tuple[ColourField, ...] = Field(min_length=2, max_length=_MOST)

    def entry(self, index: int) -> Colour:
        """Return the colour of an entry by its place in the session; they repeat past the last."""
        return self.entries[index % len(self.entries)]


class Fonts(Tokens):
    """Font files, in the style's own folder or among the packaged ones.

    Parameters
    ----------
    text, strong, loud : str
        For labels, for names and values, for figures and titles.
    fallback : tuple of str
        Asked in turn for a glyph that the font has not.
    """

    text: FontFile
    strong: FontFile
    loud: FontFile
    fallback: tuple[FontFile, ...] = Field(default=("DejaVuSans.ttf",), max_length=20)


class TypeScale(Tokens):
    """Sizes of type; `floor` is the smallest that may ever be drawn."""

    floor: Length
    small: Length
    body: Length
    value: Length
    title: Length
    figure: Length
    total: Length


class Strokes(Tokens):
    """Widths of lines: hairlines, ticks, rules, curves.

    Parameters
    ----------
    dashes : tuple of tuple of Length
        What tells the entries' lines apart besides colour, in the order of the colours: lengths of
        ink and of none in turn; an empty one is a solid line.
    """

    hair: Length
    tick: Length
    rule: Length
    curve: Length
    dashes: tuple[Dash, ...] = Field(default=((),), max_length=_MOST)

    def dash(self, index: int) -> tuple[float, ...]:
        """Return the dash of an entry by its place in the session; they repeat past the last."""
        return self.dashes[index % len(self.dashes)] if self.dashes else ()


class Spaces(Tokens):
    """Distances: inside a group, between groups, from the panel's edge."""

    near: Length
    apart: Length
    pad: Length


class Corners(Tokens):
    """The corner cut off a panel, and off a flag."""

    panel: Annotated[float, Field(ge=0, le=200)]
    flag: Annotated[float, Field(ge=0, le=200)]


class Motion(Tokens):
    """How long things take: the panel, the axes, one step of a comparison, a change of order."""

    panel: Seconds
    axes: Seconds
    step: Seconds
    swap: Seconds


class Style(Tokens):
    """A house style.

    Parameters
    ----------
    name : str
        The folder's name.
    root : Path
        The folder the style's folder lies in.
    title : str
        For listings.
    ground : {"dark", "light"}
        What the panel is.
    """

    name: str
    root: Path
    title: str
    ground: Literal["dark", "light"]
    colours: Colours
    fonts: Fonts
    type: TypeScale
    strokes: Strokes
    space: Spaces
    corner: Corners
    motion: Motion

    @property
    def folder(self) -> Path:
        """Where the style's own files lie."""
        return self.root / self.name


def style_roots(root: Path | None = None) -> tuple[Path, ...]:
    """Return the folders searched for styles: the given one, the checkout's, the wheel's copy."""
    package = Path(__file__).resolve().parents[1]
    shipped = (package.parent / "styles", package / "style" / "shipped")
    return (() if root is None else (root,)) + shipped


def style_names(root: Path | None = None) -> tuple[str, ...]:
    """List the styles found, each once, in order of name."""
    found = {path.parent.name for place in style_roots(root) for path in place.glob(f"*/{_FILE}")}
    return tuple(sorted(found))


def style_schema() -> dict[str, Any]:
    """Return the JSON schema of style.toml, as styles/style.schema.json publishes it."""
    schema = Style.model_json_schema()
    # What a style is called and where it lies is not written in its file.
    for given in ("name", "root"):
        del schema["properties"][given]
        schema["required"].remove(given)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def load_style(name: str, root: Path | None = None) -> Style:
    """Read a house style.

    Parameters
    ----------
    name : str
        The name of its folder.
    root : Path, optional
        Searched first; a session's own ``styles`` folder.

    Raises
    ------
    StyleError
        If there is none of that name, or its file is not TOML.
    ProblemsFound
        If tokens are missing, unknown or wrong; every one is named.
    """
    plain = name.replace("-", "_").isidentifier()
    places = [place for place in style_roots(root) if plain and (place / name / _FILE).is_file()]
    if not places:
        raise StyleError(
            f"there is no style {name[:60]!r}; found: {', '.join(style_names(root)) or 'none'}.",
            code="unknown-style",
            field="episode.style",
            remedy="Name one of these, or add styles/<name>/style.toml to the session.",
        )
    _check_place(places[0], name, root)
    stat = (places[0] / name / _FILE).stat()
    return _read(places[0], name, stat.st_mtime_ns, stat.st_size)


def _check_place(found: Path, name: str, root: Path | None) -> None:
    """Refuse a session's own style that lies elsewhere, reached by a link."""
    if root is None or found != root:
        return
    session = root.parent.resolve()
    if not (found / name / _FILE).resolve().is_relative_to(session):
        raise StyleError(
            "the style leaves the session's folder by a link.",
            code="path-leaves-session",
            file=f"styles/{name}/{_FILE}",
            remedy="Copy the style into the session's folder 'styles'.",
        )


@lru_cache(maxsize=32)
def _read(root: Path, name: str, changed_ns: int, size: int) -> Style:
    """Read a style's file; the time of its last change is there so that a changed one is read."""
    del changed_ns, size
    shown = f"styles/{name}/{_FILE}"
    try:
        stored = stored_bytes(
            root / name / _FILE,
            largest=_LARGEST_FILE,
            file=shown,
            raises=StyleError,
            remedy="A style holds tokens only; take everything else out.",
        )
        text = stored.decode("utf-8")
        tables = toml_text(text)
    except ValueError as error:
        # TOML's own, that of bytes that are no UTF-8, and of what goes beyond a limit.
        raise StyleError(
            f"this is not TOML: {error}.",
            code="bad-toml",
            file=shown,
            remedy="Correct the place it names.",
        ) from error
    try:
        return Style.model_validate(tables | {"name": name, "root": root})
    except ValidationError as error:
        found = problems_of(error, Style, file=shown, lines=key_lines(text))
        raise ProblemsFound(found) from error
