"""The gallery: every overlay kind in every style and shape, and what the README shows of it.

What is shown is the demo session, measured and conditioned as any other, so that a gallery is what
a session would get. Each kind has one cue: ``overlays/kinds/examples/KIND.toml``, its options.
"""

from __future__ import annotations

import multiprocessing
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any

from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Pixels, Scene
from overlays.errors import Problems, RenderError
from overlays.kinds.base import Content
from overlays.kinds.registry import build, kinds
from overlays.model.clip import Stage
from overlays.model.outline import Cue
from overlays.model.result import Results
from overlays.plan import open_episode
from overlays.progress import Progress, silent
from overlays.render.frames import laid_out
from overlays.render.preview import film, still
from overlays.render.workers import usual_workers
from overlays.style.house import load_style, style_names
from overlays.turnover.contact_sheet import draw_sheet

__all__ = ["SHAPES", "STATES", "Specimen", "draw_gallery", "examples", "sample", "specimens"]

# In the checkout, and in the wheel.
_PACKAGE = Path(__file__).resolve().parents[1]
_DEMOS = (_PACKAGE.parent / "demo_sessions" / "brake_bench", _PACKAGE / "turnover" / "shipped_demo")
_EXAMPLES = _PACKAGE / "kinds" / "examples"

SHAPES = ((1920, 1080), (1080, 1920), (1080, 1080))
STATES = ("first", "middle", "last")
_RATE = Fraction(30)


@dataclass(frozen=True, slots=True)
class Specimen:
    """One kind in one style and shape, ready to be laid out in any process.

    Parameters
    ----------
    kind : str
        A name in `overlays.kinds.registry.kinds`.
    content : Content
        What it shows.
    stage : Stage
        Where and how long.
    """

    kind: str
    content: Content
    stage: Stage

    @property
    def name(self) -> str:
        """The beginning of its files' names."""
        return f"{self.kind}_{self.stage.style}_{self.stage.width}x{self.stage.height}"

    def lay_out(self) -> Scene:
        """Draw its patches; raises `StyleError` where a font lacks a glyph."""
        return laid_out(self.kind, self.content, self.stage)

    def frame(self, state: str) -> int:
        """Return the cue's frame of a state in `STATES`."""
        return {"first": 0, "middle": self.stage.frames // 2, "last": self.stage.frames - 1}[state]

    def pixels(self, state: str) -> Pixels:
        """Draw one state, straight RGBA."""
        return draw_alone(self.lay_out(), self.frame(state))


def examples() -> Mapping[str, Mapping[str, Any]]:
    """Return the options of each kind's example, by kind, in order of name."""
    found = {
        path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
        for path in sorted(_EXAMPLES.glob("*.toml"))
    }
    return MappingProxyType({kind: found[kind] for kind in kinds() if kind in found})


def sample(progress: Progress = silent) -> Results:
    """Work out the demo session.

    Raises
    ------
    RenderError
        If this installation lacks it.
    ProblemsFound
        If it cannot be understood.
    """
    problems = Problems()
    for folder in _DEMOS:
        if folder.is_dir():
            episode = open_episode(folder, problems, progress=progress)
            problems.raise_errors()
            if episode is not None:
                return episode.results
    raise RenderError(
        "the demo session is not there; the gallery is drawn from it.",
        code="no-demo",
        field="gallery",
        remedy="Install the package anew, or work in a checkout.",
    )


def specimens(
    results: Results,
    *,
    styles: Iterable[str] | None = None,
    shapes: Iterable[tuple[int, int]] = SHAPES,
    root: Path | None = None,
) -> Iterator[Specimen]:
    """Return every kind's example in each style and shape, at its natural length.

    Parameters
    ----------
    results : Results
        `sample` of the demo.
    styles : iterable of str, optional
        All by default.
    shapes : iterable of (int, int)
        Canvases in pixels.
    root : Path, optional
        A session's own ``styles`` folder, searched first.

    Raises
    ------
    StyleError
        If a style cannot be found or read.
    """
    wanted, canvases = tuple(style_names(root) if styles is None else styles), tuple(shapes)
    for kind, options in examples().items():
        cue = Cue(kind, kind, "gallery", 0, 1, dict(options), 1, {})
        content = build(cue, results.session).content(results)
        frames = max(1, round(kinds()[kind].natural_s(content) * _RATE))
        for name in wanted:
            style = load_style(name, root)
            for width, height in canvases:
                stage = Stage(width, height, _RATE, frames, name, str(style.root))
                yield Specimen(kind, content, stage)


def draw_gallery(
    out: Path,
    *,
    results: Results | None = None,
    styles: Iterable[str] | None = None,
    shapes: Iterable[tuple[int, int]] = SHAPES,
    root: Path | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> int:
    """Draw every kind in every style and shape, a film of each, and a contact sheet.

    Files are ``KIND_STYLE_WxH_STATE.png``, ``KIND_STYLE.mp4`` and ``contact_sheet.png``; a file of
    the same name is replaced, others are left alone.

    Parameters
    ----------
    out : Path
        The folder, made where there is none.
    results : Results, optional
        `sample` of the demo, where it is worked out already.
    styles, shapes : iterable, optional
        See `specimens`; a film is made of shapes that are wider than high.
    root : Path, optional
        A session's own ``styles`` folder: its styles are drawn too.
    workers : int, optional
        Processes; as many as the machine has processors by default.
    progress : Progress
        Told the overlays drawn.

    Returns
    -------
    int
        How many files were written.

    Raises
    ------
    RenderError
        If the demo session is not there.
    StyleError
        If a style cannot be read or a font lacks a glyph.
    WorkError
        If a file cannot be written.
    """
    shown = sample(progress) if results is None else results
    wanted = tuple(specimens(shown, styles=styles, shapes=shapes, root=root))
    out.mkdir(parents=True, exist_ok=True)
    tasks = [(specimen, out) for specimen in wanted]
    count = usual_workers(1920 * 1080) if workers is None else workers
    written = 0
    if count == 1:
        for done, task in enumerate(tasks, 1):
            written += _draw(*task)
            progress(done, len(tasks), "overlays")
    else:
        with ProcessPoolExecutor(count, multiprocessing.get_context("spawn")) as pool:
            drawn = [pool.submit(_draw, *task) for task in tasks]
            for done, future in enumerate(as_completed(drawn), 1):
                written += future.result()
                progress(done, len(tasks), "overlays")
    draw_sheet(out, [specimen.name for specimen in wanted], STATES, out / "contact_sheet.png")
    return written + 1


def _draw(specimen: Specimen, out: Path) -> int:
    """Write a specimen's pictures, and its film where it is wide; return how many files."""
    scene = specimen.lay_out()
    for state in STATES:
        still(scene, out / f"{specimen.name}_{state}.png", frame=specimen.frame(state))
    stage = specimen.stage
    if stage.width <= stage.height:
        return len(STATES)
    small = replace(
        specimen, stage=replace(stage, width=stage.width // 2, height=stage.height // 2)
    )
    film(small.lay_out(), out / f"{specimen.kind}_{stage.style}.mp4", rate=stage.rate)
    return len(STATES) + 1
