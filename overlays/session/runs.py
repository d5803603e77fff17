"""runs.csv, or file-name patterns → where each run was logged."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from itertools import islice
from pathlib import Path

from overlays.errors import Problems, SessionError
from overlays.model.run import RunRef
from overlays.model.session import SessionSpec
from overlays.session.paths import inside
from overlays.session.stored import stored_bytes
from overlays.session.validation import closest

__all__ = ["MOST_FILES", "MOST_RUNS", "RUNS_FILE", "find_runs"]

RUNS_FILE = "runs.csv"
_COLUMNS = ("entry", "test", "repeat", "file", "note", "use")
_NEEDED = _COLUMNS[:4]
_LARGEST, MOST_RUNS, MOST_FILES = 2_000_000, 5000, 50_000
_USE = {"": True, "yes": True, "no": False}
_PLACE = re.compile(r"\{(entry|test|repeat)\}")


def find_runs(
    folder: Path, spec: SessionSpec, lines: Mapping[str, int], problems: Problems
) -> tuple[RunRef, ...]:
    """Find every run of a session.

    Where there is a runs.csv it lists them all; else each test's `files` pattern is looked up.

    Parameters
    ----------
    folder : Path
        The session's folder.
    spec : SessionSpec
        session.toml.
    lines : Mapping[str, int]
        Its key lines, for messages.
    problems : Problems
        Receives what is wrong; a run that cannot be used is left out.

    Returns
    -------
    tuple of RunRef
        In the order of runs.csv, or of tests, entries and repeats.
    """
    if (folder / RUNS_FILE).is_file():
        return _listed(folder, spec, problems)
    if any(test.files for test in spec.tests.values()):
        return _matched(folder, spec, lines, problems)
    with problems.collecting(file=RUNS_FILE):
        raise SessionError(
            "there is no runs.csv, and no test has a pattern 'files'.",
            code="no-runs",
            remedy="Add runs.csv, or give each test a pattern such as "
            '"logs/{entry}_{test}_{repeat}.csv".',
        )
    return ()


def _listed(folder: Path, spec: SessionSpec, problems: Problems) -> tuple[RunRef, ...]:
    refs: list[RunRef] = []
    with problems.collecting(file=RUNS_FILE):
        content = stored_bytes(inside(folder, RUNS_FILE), largest=_LARGEST)
        rows = list(islice(_rows(content), MOST_RUNS + 1))
        if len(rows) > MOST_RUNS:
            raise _too_many(f"there are more than {MOST_RUNS} runs.")
        for line, row in rows:
            with problems.collecting(file=RUNS_FILE, line=line):
                ref = _ref(folder, spec, row, line)
                _check_new(ref, refs)
                refs.append(ref)
                if not ref.use and not ref.note:
                    problems.warn(
                        "left-out-without-reason",
                        f"{ref.entry} {ref.test} run {ref.repeat} is left out without a reason.",
                        remedy="Say why in the column 'note'.",
                        file=RUNS_FILE,
                        line=line,
                    )
    return tuple(refs)


def _too_many(what: str) -> SessionError:
    return SessionError(what, code="too-many-runs", remedy="Split the session into several.")


def _rows(content: bytes) -> Iterator[tuple[int, dict[str, str]]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise SessionError(
            "the file is not UTF-8 text.",
            code="not-utf-8",
            line=line,
            remedy="Save it as UTF-8 (in a spreadsheet: CSV UTF-8).",
        ) from error
    first = text.partition("\n")[0]
    # A spreadsheet of a country that writes decimal commas separates by semicolons.
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    header: list[str] | None = None
    while True:
        line = reader.line_num + 1
        try:
            cells = [cell.strip() for cell in next(reader)]
        except StopIteration:
            break
        except csv.Error as error:
            raise SessionError(
                f"the line cannot be read: {error}.",
                code="bad-csv",
                line=line,
                remedy="Check its quotation marks.",
            ) from error
        if not any(cells):
            continue
        if header is None:
            header = _header(cells)
            continue
        if len(cells) > len(header) and any(cells[len(header) :]):
            raise SessionError(
                f"found {len(cells)} values; expected {len(header)}.",
                code="too-many-values",
                line=line,
                remedy="Put a note that holds a comma in quotation marks.",
            )
        yield line, dict(zip(header, cells, strict=False))
    if header is None:
        raise SessionError(
            "the file is empty.", code="empty-file", remedy=f"Begin it with {','.join(_COLUMNS)}."
        )


def _header(cells: list[str]) -> list[str]:
    header = [cell.casefold() for cell in cells]
    for name in _NEEDED:
        if name not in header:
            raise SessionError(
                f"there is no column {name!r}; found {', '.join(cells)}.",
                code="missing-column",
                line=1,
                remedy=f"Begin the file with {','.join(_COLUMNS)}.",
            )
    for name in header:
        if name and name not in _COLUMNS:
            raise SessionError(
                f"{name!r} is not a column of runs.csv.",
                code="unknown-column",
                line=1,
                remedy=closest(name, _COLUMNS),
            )
    return header


def _known(kind: str, key: str, known: Mapping[str, object]) -> str:
    if key not in known:
        raise SessionError(
            f"there is no {kind} {key!r} in session.toml.",
            code=f"unknown-{kind}",
            field=kind,
            remedy=closest(key, list(known)),
        )
    return key


def _repeat(written: str) -> int:
    if not re.fullmatch(r"[1-9]\d{0,3}", written):
        raise SessionError(
            f"found {written!r}; expected the number of the repeat, from 1.",
            code="bad-repeat",
            field="repeat",
            remedy="Number the repeats of an entry on a test 1, 2, 3.",
        )
    return int(written)


def _ref(folder: Path, spec: SessionSpec, row: Mapping[str, str], line: int) -> RunRef:
    use = row.get("use", "").casefold()
    if use not in _USE:
        raise SessionError(
            f"found {row['use']!r}; expected yes or no.",
            code="bad-use",
            field="use",
            remedy="Write no, and the reason in 'note', to leave a run out.",
        )
    file = row.get("file", "")
    entry = _known("entry", row.get("entry", ""), spec.entries)
    test = _known("test", row.get("test", ""), spec.tests)
    path = inside(folder, file)
    if not path.is_file():
        raise SessionError(
            f"the log {file!r} is not there.",
            code="missing-log",
            field="file",
            remedy="Put the file there, or correct its name in runs.csv.",
        )
    return RunRef(
        entry=entry,
        test=test,
        repeat=_repeat(row.get("repeat", "")),
        path=path,
        file=file,
        note=row.get("note", ""),
        use=_USE[use],
        line=line,
    )


def _check_new(ref: RunRef, before: list[RunRef]) -> None:
    for other in before:
        same_run = (other.entry, other.test, other.repeat) == (ref.entry, ref.test, ref.repeat)
        if same_run and other.use and ref.use:
            raise SessionError(
                f"{ref.entry} {ref.test} run {ref.repeat} stands here again; it is on line "
                f"{other.line} already.",
                code="repeat-twice",
                remedy="Number the repeats apart, or write no under 'use' for one of them.",
            )
        if other.path == ref.path:
            raise SessionError(
                f"the log {ref.file!r} stands here again; it is on line {other.line} already.",
                code="log-twice",
                field="file",
                remedy="Give each run its own log.",
            )


def _matched(
    folder: Path, spec: SessionSpec, lines: Mapping[str, int], problems: Problems
) -> tuple[RunRef, ...]:
    refs: list[RunRef] = []
    for key, test in spec.tests.items():
        if not test.files:
            continue
        field = f"tests.{key}.files"
        with problems.collecting(file="session.toml", line=lines.get(field), field=field):
            refs += _of_test(folder, spec, key, problems)
    return tuple(refs)


def _of_test(folder: Path, spec: SessionSpec, test: str, problems: Problems) -> list[RunRef]:
    pattern = spec.tests[test].files
    inside(folder, _PLACE.sub("x", pattern))
    if "{entry}" not in pattern or "{repeat}" not in pattern:
        raise SessionError(
            f"found {pattern!r}; expected a pattern with {{entry}} and {{repeat}}.",
            code="bad-pattern",
            remedy='Write it like "logs/{entry}_{test}_{repeat}.csv".',
        )
    # Bounded, and without a way to share digits or folders out: no name takes long to match.
    places = {
        "entry": r"(?P<entry>[^/]{1,80}?)",
        "test": re.escape(test),
        "repeat": r"(?P<repeat>\d{1,9})",
    }
    seen: set[str] = set()
    expression = ""
    for part in re.split(r"(\{(?:entry|test|repeat)\})", pattern):
        name = part.strip("{}") if _PLACE.fullmatch(part) else ""
        if name in seen:
            expression += f"(?P={name})"
        elif name:
            expression += places[name]
            seen.update({name} - {"test"})
        else:
            expression += re.escape(part)
    found: list[RunRef] = []
    for path in _files(folder, pattern):
        file = path.relative_to(folder).as_posix()
        match = re.fullmatch(expression, file)
        if match is not None:
            with problems.collecting(file=file):
                entry = _known("entry", match["entry"], spec.entries)
                repeat = _repeat(match["repeat"].lstrip("0"))
                found.append(RunRef(entry, test, repeat, inside(folder, file), file))
    if not found:
        raise SessionError(
            f"no file fits {pattern!r}.", code="missing-log", remedy="Check the pattern."
        )
    if len(found) > MOST_RUNS:
        raise _too_many(f"more than {MOST_RUNS} files fit {pattern!r}.")
    order = list(spec.entries)
    return sorted(found, key=lambda ref: (order.index(ref.entry), ref.repeat))


def _files(folder: Path, pattern: str) -> list[Path]:
    """Return the files that a pattern may mean: of its folder, or anywhere where that varies."""
    parent = (folder / pattern).parent
    anywhere = "{" in str(parent.relative_to(folder))
    paths = folder.rglob("*") if anywhere else parent.glob("*")
    looked_at = list(islice(paths, MOST_FILES + 1))
    if len(looked_at) > MOST_FILES:
        raise _too_many(f"there are more than {MOST_FILES} files to look through.")
    return sorted(path for path in looked_at if path.is_file())
