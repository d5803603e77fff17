"""The camera files that session.toml declares: that they lie inside, and show a run there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from overlays.errors import Problems, SessionError
from overlays.model.run import RunRef
from overlays.model.session import SessionSpec
from overlays.session.paths import inside
from overlays.session.run_names import named_run

__all__ = ["check_footage"]

_FILE = "session.toml"


def check_footage(
    folder: Path,
    spec: SessionSpec,
    runs: Sequence[RunRef],
    lines: Mapping[str, int],
    problems: Problems,
) -> None:
    """Check every table ``[[footage]]`` against the session's folder and runs.

    A camera file that is not there is a warning only: footage is large, and left out where a
    session is handed on.
    """
    for index, item in enumerate(spec.footage):
        field = f"footage.{index}"
        line = lines.get(f"{field}.file", lines.get(field))
        with problems.collecting(file=_FILE, line=line, field=f"{field}.file"):
            if not inside(folder, item.file).is_file():
                problems.warn(
                    "no-footage",
                    f"{field}.file: there is no file {item.file!r}.",
                    remedy="Copy it there, or take the table out; previews do without.",
                    file=_FILE,
                    line=line,
                )
        line = lines.get(f"{field}.run", lines.get(field))
        with problems.collecting(file=_FILE, line=line, field=f"{field}.run"):
            named_run(item.run, runs)
        line = lines.get(f"{field}.starts", lines.get(field))
        with problems.collecting(file=_FILE, line=line, field=f"{field}.starts"):
            if item.starts.to("s") < 0:
                raise SessionError(
                    f"found {item.starts.value:g} {item.starts.unit}; expected a time in the file.",
                    code="bad-start",
                    remedy="Take the line that sync prints.",
                )
