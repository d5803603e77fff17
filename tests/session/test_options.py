"""The page of session options: whole, explained, and up to date."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from overlays.model.spec import Spec
from overlays.session.options import options_page
from tests.session.publish import FOLDER, OPTIONS, SCHEMA, schema_text

ROW = re.compile(r"^\| `(?P<key>\w+)` \| (?P<default>.*?) \| (?P<said>.*) \|$", re.MULTILINE)


def tables(table: type[Spec] = Spec) -> Iterator[type[Spec]]:
    for form in table.__subclasses__():
        if form.__module__.startswith("overlays.model"):
            yield form
        yield from tables(form)


@pytest.mark.parametrize("table", list(tables()), ids=lambda table: table.__name__)
def test_every_option_stands_on_the_page_with_what_it_means(table: type[Spec]) -> None:
    """A key that a table reads has its row, and the row says something."""
    rows = {match["key"]: match["said"] for match in ROW.finditer(options_page())}
    for key in table.model_fields:
        if key not in {"take", "rule", "kind"}:
            assert rows.get(key), f"{table.__name__}.{key}"


def test_the_page_and_the_schema_are_published_as_they_are() -> None:
    """What lies in demo_sessions is what the code says; ``python -m tests.session.publish``."""
    assert (FOLDER / OPTIONS).read_text(encoding="utf-8") == options_page()
    assert (FOLDER / SCHEMA).read_text(encoding="utf-8") == schema_text()


def test_defaults_and_choices_are_told() -> None:
    """A key has its default and the words it may be."""
    page = options_page()
    assert '| `jitter` | `"5 %"` |' in page
    assert '### `take = "peak"`: The highest value.' in page
    assert 'One of `"day first"`, `"month first"`, `"year first"`.' in page
