"""What an hour-long episode at 2160p takes: memory, open files and hidden files, by cue count.

Run it as ``python tests/benchmarks/long_episode.py --json FILE [--cues N]``: it makes an episode of
a fifth of the cues and one of all of them, each in a process of its own, prints a table and writes
``{"few": {…}, "many": {…}}`` with ``cues``, ``clips``, ``seconds``, ``peak_mb``, ``worker_mb``,
``open_files``, ``hidden_files`` and ``told`` (how often progress was told, and whether truly) each.
Memory has to be flat: the many take no more than the few and some to spare.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from overlays.files import is_leftover  # noqa: E402 (the same)
from overlays.turnover.episode import make_episode  # noqa: E402 (the same)
from tests.crashes.episodes import CODEC, small_session  # noqa: E402 (the same)

__all__ = ["CUES", "Taken", "Truth", "long_session", "measured"]

CUES = 300
_HOUR_S = 3600
_LOOK_EVERY_S = 0.05
_CUES = (
    'curves\nid = "open-{n}"\ntest = "open"\nentries = ["brook", "weir"]\npace = "fit"',
    'lower_third\nid = "card-{n}"\nentry = "weir"\nfigures = ["settled", "knock"]',
    'score_update\nid = "score-{n}"\nentry = "brook"',
)


@dataclass
class Truth:
    """Hears what progress is told, and whether it can be true."""

    told: int = 0
    lies: list[str] = field(default_factory=list)
    _last: dict[str, tuple[int, int]] = field(default_factory=dict)

    def __call__(self, done: int, total: int, what: str) -> None:
        """Hear it: never backwards, never past its end, and the end does not move."""
        self.told += 1
        before, whole = self._last.get(what, (0, total))
        if not before <= done <= total or total != whole:
            self.lies.append(f"{what}: {done} of {total} after {before} of {whole}")
        self._last[what] = (done, total)

    def unfinished(self) -> list[str]:
        """Return what was begun and never told as finished."""
        return [what for what, (done, total) in self._last.items() if done != total]


@dataclass(frozen=True)
class Taken:
    """What an episode took."""

    cues: int
    clips: int
    seconds: float
    peak_mb: float
    worker_mb: float
    open_files: int
    hidden_files: int
    told: int
    lies: list[str]


def long_session(folder: Path, cues: int) -> Path:
    """Write a session whose cues are spread over an hour, on a canvas of 3840x2160."""
    session = small_session(folder, canvas="[3840, 2160]")
    apart_s = _HOUR_S / cues
    beats = [
        f'## Beat {n}\n\n```beat\nlength = "{apart_s:.2f} s"\n```\n\nOne more.\n\n'
        f'```cue {_CUES[n % 3].format(n=n)}\nat = "0.4 s"\nlength = "2.4 s"\n```\n'
        for n in range(cues)
    ]
    (session / "outline.md").write_text("# An hour\n\n" + "\n".join(beats), encoding="utf-8")
    return session


def _names(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir()] if folder.is_dir() else []


@contextmanager
def _watched(out: Path) -> Iterator[list[int]]:
    """Count open and hidden files while the block runs; the largest of each come back."""
    most = [0, 0]
    leave = threading.Event()

    def look() -> None:
        while not leave.wait(_LOOK_EVERY_S):
            most[0] = max(most[0], len(_names(Path("/proc/self/fd"))))
            names = [*_names(out), *_names(out / "clips")]
            most[1] = max(most[1], sum(is_leftover(name) for name in names))

    watcher = threading.Thread(target=look)
    watcher.start()
    try:
        yield most
    finally:
        leave.set()
        watcher.join()


def _made(cues: int, folder: Path, workers: int) -> Taken:
    import resource

    session, out = long_session(folder / "session", cues), folder / "out"
    truth, start = Truth(), time.perf_counter()
    with _watched(out) as most:
        made = make_episode(session, out, codec=CODEC, workers=workers, progress=truth)
    kilobyte = 1e-3 if sys.platform != "darwin" else 1e-6
    return Taken(
        cues=cues,
        clips=len(made.rendered),
        seconds=round(time.perf_counter() - start, 1),
        peak_mb=round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * kilobyte),
        worker_mb=round(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * kilobyte),
        open_files=most[0],
        hidden_files=most[1],
        told=truth.told,
        lies=[*truth.lies, *truth.unfinished()],
    )


def measured(cues: int, *, workers: int = 2) -> Taken:
    """Make such an episode in a process of its own, so that its memory is its own."""
    with tempfile.TemporaryDirectory(prefix="tracereel-long-") as folder:
        command = [sys.executable, __file__, "--one", str(cues), folder, str(workers)]
        done = subprocess.run(command, stdout=subprocess.PIPE, check=True, text=True)
    return Taken(**json.loads(done.stdout.splitlines()[-1]))


def main() -> None:
    """Measure, print a table, write the JSON file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=Path, required=False)
    parser.add_argument("--cues", type=int, default=CUES)
    parser.add_argument("--one", nargs=3, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.one:
        cues, folder, workers = arguments.one
        sys.stdout.write(json.dumps(asdict(_made(int(cues), Path(folder), int(workers)))) + "\n")
        return
    few, many = measured(arguments.cues // 5), measured(arguments.cues)
    for name, at_few in asdict(few).items():
        sys.stdout.write(f"{name:14}{at_few!s:>10}{asdict(many)[name]!s:>10}\n")
    if arguments.json:
        arguments.json.write_text(json.dumps({"few": asdict(few), "many": asdict(many)}))


if __name__ == "__main__":
    main()
