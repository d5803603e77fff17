"""Watching code that strangers feed: how long it takes, what it raises, where it writes."""

from __future__ import annotations

import os
import signal
import sys
import time
import traceback
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from overlays.errors import TracereelError
from overlays.saying import printable
from tests.audit import opened_to_write

__all__ = ["Verdict", "watched"]

# Of the processor's time, so that a busy machine changes nothing; and of waiting for anything.
LONGEST_S, LONGEST_WAIT_S = 10.0, 180.0
# What changes a file system: which arguments are paths, and which is the open folder that a
# relative one starts from.
_WRITES = {
    "os.rename": ((0, 2), (1, 3)),
    "os.link": ((1, 3),),
    "os.symlink": ((1, 2),),
    "os.mkdir": ((0, 2),),
    "os.remove": ((0, 1),),
    "os.rmdir": ((0, 1),),
    "os.truncate": ((0, 9),),
    "os.chmod": ((0, 2),),
}
_RUNS = (
    "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "os.startfile", "os.fork",
    "pickle.find_class", "urllib.Request", "socket.connect", "socket.bind", "socket.sendto",
    "socket.getaddrinfo",
)  # fmt: skip


@dataclass
class Verdict:
    """What became of one piece of work.

    Parameters
    ----------
    outcome : str
        ``"done"``, ``"refused"`` (one of our errors), or what went wrong.
    outside : list of str
        What it changed outside the folder it may write to, or ran.
    seconds : float
        How long the processor worked on it.
    codes : tuple of str
        Of the problems it was refused for.
    """

    outcome: str = "done"
    outside: list[str] = field(default_factory=list)
    seconds: float = 0.0
    codes: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """Whether nothing is wrong with it."""
        right = self.outcome in ("done", "refused") and not self.outside
        return right and self.seconds < LONGEST_S


class _TooLongError(BaseException):
    """Not an Exception, so that nobody catches it on the way."""


class _Guard:
    """The audit hook's state: where writing is allowed, and what was done elsewhere."""

    def __init__(self) -> None:
        self.allowed: Path | None = None
        self.outside: list[str] = []

    def told(self, event: str, args: tuple[object, ...]) -> None:
        """Take an event of the interpreter's."""
        if self.allowed is None:
            return
        if event == "open" and opened_to_write(args):
            self._look(event, args[0], None)
        elif event in _WRITES:
            for path, folder in _WRITES[event]:
                self._look(event, args[path], args[folder] if folder < len(args) else None)
        elif event in _RUNS:
            self.outside.append(f"{event} {args!r:.200}")

    def _look(self, event: str, path: object, folder: object) -> None:
        if not isinstance(path, str | bytes | os.PathLike) or self.allowed is None:
            return  # an open file
        where = Path(os.fsdecode(path))
        if isinstance(folder, int) and folder >= 0:
            where = Path(f"/proc/self/fd/{folder}").readlink() / where
        # Writing changes what a link leads to; everything else changes the name itself.
        real = where.resolve() if event == "open" else where.parent.resolve() / where.name
        if not real.is_relative_to(self.allowed) and str(real) != os.devnull:
            self.outside.append(f"{event} {str(where)!r:.200}")


_guard = _Guard()
sys.addaudithook(_guard.told)


def _stop(number: int, frame: FrameType | None) -> None:
    raise _TooLongError(number, frame)


def watched(work: Callable[[], object], *, may_write: Path) -> Verdict:
    """Do some work and say what became of it.

    Parameters
    ----------
    work : callable
        Is expected to finish, or to raise `TracereelError`.
    may_write : Path
        The folder it may write to.
    """
    verdict = Verdict()
    before = {number: signal.signal(number, _stop) for number in (signal.SIGALRM, signal.SIGPROF)}
    began = time.process_time()
    _guard.allowed, _guard.outside = may_write.resolve(), verdict.outside
    signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
    signal.setitimer(signal.ITIMER_REAL, LONGEST_WAIT_S)
    try:
        work()
    except TracereelError as error:
        verdict.outcome = "refused"
        verdict.codes = tuple(problem.code for problem in error.problems())
        _judge_telling(error, verdict)
    except _TooLongError:
        verdict.outcome = f"took more than {LONGEST_S:g} s: {_where()}"
    except Exception as error:  # noqa: BLE001 (whatever it is, it is what is looked for)
        verdict.outcome = f"{type(error).__name__}: {error}\n{traceback.format_exc()[-1500:]}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        _guard.allowed = None
        for number, handler in before.items():
            signal.signal(number, handler)
    verdict.seconds = time.process_time() - began
    return verdict


def _judge_telling(error: TracereelError, verdict: Verdict) -> None:
    """An error says what is wrong and what to do, shortly, and acts on no terminal."""
    for problem in error.problems():
        shown = printable(str(problem))
        shown.encode("utf-8")  # no lone surrogates
        acting = [sign for sign in shown if _acts(sign)]
        if not problem.code or not problem.message or len(shown) > 2000 or acting:
            verdict.outcome = f"is not told well: {problem.code} {len(shown)} {shown[:200]!r}"


def _acts(sign: str) -> bool:
    if sign in "\t\n":
        return False
    return unicodedata.category(sign) in ("Cc", "Cs") or unicodedata.bidirectional(sign) in (
        "LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI",
    )  # fmt: skip


def _where() -> str:
    return traceback.format_exc()[-1500:]
