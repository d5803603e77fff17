"""Nothing of a session is run, unpickled or asked for: there is no call that would."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "overlays"
FILES = sorted(PACKAGE.rglob("*.py"))

# What runs code, reads pickles, or reaches the network.
MODULES = frozenset((
    "pickle", "dill", "cloudpickle", "marshal", "shelve", "joblib", "yaml", "code", "codeop",
    "runpy", "requests", "httpx", "aiohttp", "http", "ftplib", "smtplib", "xmlrpc", "socketserver",
    "webbrowser", "asyncio", "ctypes", "cffi", "jinja2",
))  # fmt: skip
CALLS = frozenset(("eval", "exec", "compile", "__import__", "input", "breakpoint"))
# Where programs are started: the FFmpeg that a wheel ships, always by list, never by a shell.
PROGRAMS = ("checks/second_opinion.py", "doctor/parts.py")
# Where modules are chosen by name: names of our own files only.
BY_NAME = ("kinds/registry.py", "render/codecs/registry.py")
# `urllib.parse` writes and reads the addresses of clips in a timeline; the lock asks for the
# machine's own name.
PARTS = {"urllib": ("urllib.parse",), "socket": ("socket",)}


def _found(file: Path, folder: Path = PACKAGE) -> Iterator[str]:
    place = file.relative_to(folder).as_posix()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        for name in _imported(node):
            top = name.partition(".")[0]
            if name in MODULES or top in MODULES:
                yield f"imports {name}"
            if top in PARTS and not name.startswith(PARTS[top]):
                yield f"imports {name}"
            if top == "socket" and place != "lock.py":
                yield f"imports {name}"
            if top == "subprocess" and place not in PROGRAMS:
                yield f"imports {name}"
        if isinstance(node, ast.Call):
            yield from _in_call(node, place)


def _imported(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom) and node.module:
        return [node.module]
    return []


def _in_call(node: ast.Call, place: str) -> Iterator[str]:
    name = ast.unparse(node.func)
    if name in CALLS or name.startswith(("os.system", "os.popen", "os.exec", "os.spawn")):
        yield f"calls {name}"
    if name.endswith("import_module") and place not in BY_NAME:
        yield f"calls {name}"
    given = {key.arg: ast.unparse(key.value) for key in node.keywords}
    if name in ("np.load", "numpy.load") and given.get("allow_pickle") != "False":
        yield "reads pickles by numpy"
    if name.endswith(("read_pickle", "loads_pickle")):
        yield f"calls {name}"
    if given.get("shell", "False") != "False":
        yield "starts a shell"


@pytest.mark.parametrize(
    ("source", "harm"),
    [
        ("eval(x)", "calls eval"),
        ("import pickle", "imports pickle"),
        ("from urllib.request import urlopen", "imports urllib.request"),
        ("np.load(x)", "reads pickles by numpy"),
        ("subprocess.run(x, shell=True)", "starts a shell"),
        ("from http.client import HTTPConnection", "imports http.client"),
    ],
)
def test_the_search_finds_what_it_looks_for(tmp_path: Path, source: str, harm: str) -> None:
    """A file with such a call is told: the test below could fail."""
    (tmp_path / "a.py").write_text(source, encoding="utf-8")
    assert harm in list(_found(tmp_path / "a.py", tmp_path))


def test_nothing_of_a_session_is_ever_run() -> None:
    """No eval, no pickle, no network, no shell; the only program started is FFmpeg's own."""
    assert len(FILES) > 200
    found = {file.relative_to(PACKAGE).as_posix(): list(_found(file)) for file in FILES}
    assert {file: what for file, what in found.items() if what} == {}
