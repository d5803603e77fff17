"""Conditioned runs kept from one command to the next.

Reading a log and conditioning it always gives the same traces, so they are kept in the user's
cache folder, named by a digest of everything they depend on: the log's bytes, what the session
says of its test and channels, and the code that reads and conditions. The folder may be deleted at
any time; nothing but time is lost. Nothing is ever written into a session.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from dataclasses import astuple
from pathlib import Path

import numpy as np

from overlays.errors import SessionError, WorkError
from overlays.files import written_whole
from overlays.model.run import Run, RunRef
from overlays.model.session import Session
from overlays.model.trace import Note, Trace
from overlays.session.stored import stored_bytes
from overlays.versions import source_digest

__all__ = ["CACHE_VARIABLE", "KeptRuns", "usual_folder"]

# Names another folder, or with an empty value none.
CACHE_VARIABLE = "TRACEREEL_CACHE"
_MOST_BYTES = 512 << 20
_LARGEST_LOG = 128 << 20  # bytes; to digest a larger one takes about as long as to read it
_MADE_BY = ("logs", "conditioning", "model", "units.py", "unittext.py", "units.txt")


class KeptRuns:
    """Runs by the digest of what they were made from.

    Parameters
    ----------
    folder : Path, optional
        Where they are kept. By default the user's cache folder, or what the environment variable
        `CACHE_VARIABLE` names.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = usual_folder() if folder is None else folder
        self._added = False

    def key(self, ref: RunRef, session: Session) -> str | None:
        """Return the name under which a run's traces are kept; None if it is not to be kept."""
        if self._folder is None:
            return None
        try:
            log = stored_bytes(ref.path, largest=_LARGEST_LOG)
        except (OSError, SessionError):
            return None  # too large, or the reader will say why it cannot be read
        spec = session.spec
        said = [
            spec.tests[ref.test].model_dump_json(),
            *(f"{name} {channel.model_dump_json()}" for name, channel in spec.channels.items()),
            session.pins(ref.test).model_dump_json(),
            ref.path.suffix.lower(),
            np.__version__,
            source_digest(*_MADE_BY),
        ]
        digest = hashlib.sha256("\0".join(said).encode())
        digest.update(log)
        return digest.hexdigest()

    def get(self, key: str | None, ref: RunRef) -> Run | None:
        """Return the run kept under a name, as `ref`; None where there is none whole."""
        if key is None or self._folder is None:
            return None
        file = self._folder / f"{key}.npz"
        try:
            with np.load(file, allow_pickle=False) as kept:
                told = json.loads(bytes(kept["told"]))
                notes = tuple(Note(*note) for note in told["notes"])
                traces = {
                    one["channel"]: Trace(
                        one["channel"],
                        one["unit"],
                        kept[f"time{one['time']}"],
                        kept[f"values{place}"],
                        tuple(one["steps"]),
                        tuple(one["flags"]),
                    )
                    for place, one in enumerate(told["traces"])
                }
            os.utime(file)
        except (OSError, EOFError, ValueError, KeyError, TypeError, zipfile.BadZipFile):
            # Not there, or damaged: it is made again, and what is damaged replaced.
            return None
        return Run(ref, traces, notes)

    def put(self, key: str | None, run: Run) -> None:
        """Keep a run's traces and its log's reading note under a name."""
        if key is None or self._folder is None:
            return
        arrays: dict[str, np.ndarray] = {}
        clocks: dict[int, int] = {}
        traces: list[dict[str, object]] = []
        for place, trace in enumerate(run.traces.values()):
            clock = clocks.setdefault(id(trace.time_s), len(clocks))
            arrays[f"time{clock}"] = trace.time_s
            arrays[f"values{place}"] = trace.values
            traces.append(
                {
                    "channel": trace.channel,
                    "unit": trace.unit,
                    "time": clock,
                    "steps": trace.steps,
                    "flags": trace.flags,
                }
            )
        told = {"traces": traces, "notes": [astuple(note) for note in run.notes]}
        arrays["told"] = np.frombuffer(json.dumps(told).encode(), np.uint8)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with written_whole(self._folder / f"{key}.npz") as part, part.open("wb") as stream:
                np.savez(stream, allow_pickle=False, **arrays)
        except (OSError, WorkError):
            # A cache that cannot be written, on a full disk say, is no reason not to go on.
            self._folder = None
        self._added = True

    def tidy(self) -> None:
        """Remove what was used longest ago, where more is kept than is reasonable."""
        if not self._added or self._folder is None:
            return
        states = [(file.stat(), file) for file in self._folder.glob("*.npz")]
        total = sum(state.st_size for state, _ in states)
        for state, file in sorted(states, key=lambda item: item[0].st_mtime_ns):
            if total <= _MOST_BYTES:
                break
            file.unlink(missing_ok=True)
            total -= state.st_size


def usual_folder() -> Path | None:
    """Return where runs are kept unless told otherwise; None where they are not to be kept."""
    named = os.environ.get(CACHE_VARIABLE)
    if named is not None:
        return Path(named) / "runs" if named else None
    from platformdirs import user_cache_path

    return user_cache_path("tracereel", appauthor=False) / "runs"
