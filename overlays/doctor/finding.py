"""What was found about one thing that the work needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

__all__ = ["MachineFinding", "State", "as_document", "as_text"]

State = Literal["good", "note", "missing"]


@dataclass(frozen=True, slots=True)
class MachineFinding:
    """What was found about one thing that the work needs.

    Parameters
    ----------
    about : str
        The thing, such as ``"codec vp9"``.
    state : {"good", "note", "missing"}
        A note is about something that is not needed, or not yet; what is missing stops work.
    found : str
        What was found.
    remedy : str
        What to do, as a sentence; empty where nothing is to be done.
    """

    about: str
    state: State
    found: str
    remedy: str = ""


def as_text(findings: Iterable[MachineFinding]) -> str:
    """Return findings as lines to read, and a last one that sums them up.

    Lines hold no columns that a narrow terminal would break apart: a remedy stands on its own.
    """
    told = list(findings)
    lines: list[str] = []
    for finding in told:
        lines.append(f"{finding.state:<8}{finding.about}: {finding.found}")
        if finding.remedy:
            lines.append(f"        {finding.remedy}")
    missing = [finding.about for finding in told if finding.state == "missing"]
    lines.append(
        f"Missing: {', '.join(missing)}." if missing else "Everything that is needed works."
    )
    return "\n".join(lines) + "\n"


def as_document(findings: Iterable[MachineFinding]) -> dict[str, Any]:
    """Return findings as what ``--format json`` prints."""
    return {
        "machine": [
            {
                "about": finding.about,
                "state": finding.state,
                "found": finding.found,
                "remedy": finding.remedy,
            }
            for finding in findings
        ]
    }
