"""Settings for the whole suite, and the counts that slow tests record: how much was tried."""

from __future__ import annotations

import os
from collections import Counter

import pytest
from _pytest.terminal import TerminalReporter
from hypothesis import settings

# No test is timed: a busy machine is no fault of the code.
settings.register_profile("untimed", deadline=None, print_blob=True)
settings.load_profile("untimed")

# Tests neither profit from what a user's cache holds nor leave anything in it.
os.environ["TRACEREEL_CACHE"] = ""


def pytest_terminal_summary(terminalreporter: TerminalReporter) -> None:
    """Add up the whole numbers that tests recorded as properties, by name."""
    counts: Counter[str] = Counter()
    for report in terminalreporter.getreports("passed"):
        if isinstance(report, pytest.TestReport) and report.when == "call":
            for name, value in report.user_properties:
                if isinstance(value, int):
                    counts[name] += value
    if counts:
        terminalreporter.section("counts")
        for name, total in sorted(counts.items()):
            terminalreporter.line(f"{total:7} {name}")
