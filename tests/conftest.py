"""Settings for the whole suite, and the counts that slow tests record: how much was tried."""

from __future__ import annotations

import os
import tempfile
from collections import Counter

import pytest
from _pytest.terminal import TerminalReporter
from hypothesis import settings

# No test is timed: a busy machine is no fault of the code.
settings.register_profile("untimed", deadline=None, print_blob=True)
settings.load_profile("untimed")


def pytest_configure(config: pytest.Config) -> None:
    """Give the tests a cache of their own: they neither use what a user's holds nor add to it."""
    if not hasattr(config, "workerinput"):  # processes that share the tests share it, too
        folder = tempfile.TemporaryDirectory(prefix="tracereel-tests-", ignore_cleanup_errors=True)
        config.add_cleanup(folder.cleanup)
        os.environ["TRACEREEL_CACHE"] = folder.name


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest test, for which the other processes would wait at the end."""
    items.sort(key=lambda item: item.path.name != "test_docs.py")


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
