"""Episodes on file systems that are too small, made for real; run inside a mount namespace.

``python -m tests.crashes.full_disk SESSION FOLDER COUNT`` prints one JSON document: the size that
an episode needs, and for each of COUNT smaller file systems what was said, what stood under a final
name, and whether the next run, with room, ended as an uninterrupted one.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from overlays.errors import TracereelError
from overlays.files import is_leftover
from overlays.turnover.episode import make_episode
from tests.crashes.episodes import CODEC, contents

__all__: list[str] = []

_BIG = 64 << 20
_PAGE = 4096


def _mount(folder: Path, size: int, *, again: bool = False) -> None:
    options = f"{'remount,' if again else ''}size={size}"
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder], check=True)  # noqa: S607 (the system's own)


def _unmount(folder: Path) -> None:
    subprocess.run(["umount", folder], check=True)  # noqa: S607 (the system's own)


def _used(folder: Path) -> int:
    files = [path.stat().st_size for path in folder.rglob("*") if path.is_file()]
    return sum(-(-size // _PAGE) * _PAGE for size in files)


def _try(session: Path, disk: Path, size: int, expected: dict[str, bytes]) -> dict[str, Any]:
    _mount(disk, size)
    out = disk / "out"
    said = {"code": "", "message": ""}
    try:
        make_episode(session, out, codec=CODEC, workers=1)
    except TracereelError as error:
        problem = error.problems()[0]
        said = {"code": problem.code, "message": problem.message}
    found = contents(out) if out.exists() else {}
    left = [path.name for path in out.rglob(".*") if is_leftover(path.name)]
    _mount(disk, _BIG, again=True)
    make_episode(session, out, codec=CODEC, workers=1)
    same = contents(out) == expected
    _unmount(disk)
    partial = [name for name, data in found.items() if data != expected[name]]
    return {**said, "size": size, "partial": partial, "left": left, "same": same}


def _main() -> None:
    session, folder, count = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
    disk = folder / "disk"
    disk.mkdir()
    _mount(disk, _BIG)
    make_episode(session, disk / "out", codec=CODEC, workers=1)
    expected, needed = contents(disk / "out"), _used(disk)
    _unmount(disk)
    sizes = [max(1, round(needed * (step + 0.5) / count)) // _PAGE * _PAGE for step in range(count)]
    tried = [_try(session, disk, max(size, _PAGE), expected) for size in sizes]
    print(json.dumps({"needed": needed, "tried": tried}))  # noqa: T201 (the tool's result)


if __name__ == "__main__":
    _main()
