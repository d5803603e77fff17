"""House styles are tokens: read, checked, and told about when wrong."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest

from overlays.errors import ProblemsFound, StyleError
from overlays.style.house import load_style, style_names, style_roots, style_schema

SHIPPED = Path(__file__).parents[2] / "styles"


def changed(tmp_path: Path, old: str, new: str) -> Path:
    """Write a copy of the first house style, one thing changed, and return its root."""
    text = (SHIPPED / "rule" / "style.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "style.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("name", style_names())
def test_every_shipped_style_loads(name: str) -> None:
    """A style knows its name and where it lies, and loads again from there."""
    style = load_style(name)
    assert style.name == name
    assert (style.folder / "style.toml").is_file()
    assert load_style(name, style.root) == style


def test_a_sessions_own_style_comes_first(tmp_path: Path) -> None:
    """A folder given is searched before the shipped ones, and a style of the same name wins."""
    root = changed(tmp_path, 'title = "Machinist', 'title = "Mine, machinist')
    (root / "mine").rename(root / "rule")
    assert load_style("rule", root).title.startswith("Mine")
    assert load_style("rule").title.startswith("Machinist")
    assert "rule" in style_names(root)
    assert style_roots(root)[0] == root


@pytest.mark.parametrize("name", ["none", "../rule", "/etc", "a b", ""])
def test_an_unknown_style_names_those_there_are(name: str) -> None:
    """A name that is no folder of a style, or leaves it, is an error that lists the styles."""
    with pytest.raises(StyleError, match="rule") as caught:
        load_style(name)
    assert caught.value.code == "unknown-style"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('ink = "#F4F2EC"', 'ink = "white"', ":12: error: colours.ink: 'white' is not a colour"),
        ('ink = "#F4F2EC"', "", "colours.ink: the key 'ink' is missing. Add 'ink'."),
        ("hair = 2", "hair = -2", "strokes.hair: found -2; expected more than 0."),
        ("[fonts]\n", f'[fonts]\ntext = "{"a" * 10_000}"\n#', "fonts.text: "),
        ("[fonts]\n", '[fonts]\ntext = "a\\u0000b.ttf"\n#', "fonts.text: "),
        ("[fonts]\n", '[fonts]\ntext = "../Outside.otf"\n#', "fonts.text: "),
        ("[36, 7]", "[36, 7, 5]", "strokes.dashes.1: found 3 lengths; expected an even number"),
        ("hair = 2", "hare = 2", "belongs here. Did you mean 'hair'?"),
        ('ground = "dark"', 'ground = "wet"', "ground: found 'wet'; expected 'dark' or 'light'."),
    ],
)
def test_a_wrong_token_is_named(tmp_path: Path, old: str, new: str, says: str) -> None:
    """Each wrong, missing or unknown token is told by its name, with the file."""
    with pytest.raises(ProblemsFound) as caught:
        load_style("mine", changed(tmp_path, old, new))
    text = "\n".join(str(problem) for problem in caught.value.problems())
    assert says in text
    assert "styles/mine/style.toml" in text


def test_what_is_no_toml_is_told(tmp_path: Path) -> None:
    """A file that is not TOML, not text or far too large is one clear error."""
    root = changed(tmp_path, "[colours]", "[colours")
    with pytest.raises(StyleError, match="not TOML"):
        load_style("mine", root)
    (root / "mine" / "style.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(StyleError, match="not TOML"):
        load_style("mine", root)
    (root / "mine" / "style.toml").write_text("#" * 300_000, encoding="utf-8")
    with pytest.raises(StyleError, match="larger than"):
        load_style("mine", root)


def test_colours_repeat_past_the_last_entry() -> None:
    """A ninth entry takes the first colour again."""
    colours = load_style("rule").colours
    assert colours.entry(len(colours.entries)) == colours.entry(0)


def test_the_schema_is_published_and_holds_the_shipped_styles() -> None:
    """styles/style.schema.json is a JSON schema that the shipped styles keep, and is up to date."""
    published = json.loads((SHIPPED / "style.schema.json").read_text(encoding="utf-8"))
    assert published == style_schema()
    jsonschema.Draft202012Validator.check_schema(published)
    for file in SHIPPED.glob("*/style.toml"):
        jsonschema.validate(tomllib.loads(file.read_text(encoding="utf-8")), published)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('ink = "#F4F2EC"', 'ink = "white"'),
        ("hair = 2", "hair = -2"),
        ("hair = 2", "hare = 2"),
        ('ground = "dark"', 'ground = "wet"'),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    """An editor that knows the schema marks what `load_style` would refuse."""
    text = (SHIPPED / "rule" / "style.toml").read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(tomllib.loads(text.replace(old, new, 1)), style_schema())


def test_the_style_that_the_developers_page_makes_is_one(tmp_path: Path) -> None:
    """The page on making a style changes tokens that there are, and the result loads."""
    page = (SHIPPED.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = page.partition("## How to make a style")[2].partition("\n## ")[0]
    (block,) = re.findall(r"```toml\n(.*?)```", section, re.DOTALL)
    text = (SHIPPED / "rule" / "style.toml").read_text(encoding="utf-8")
    for line in block.splitlines():
        token = line.partition(" = ")[0]
        text, count = re.subn(rf"(?m)^{token} = .*$", line, text, count=1)
        assert count == 1, f"there is no token {token}"
    (tmp_path / "slate").mkdir()
    (tmp_path / "slate" / "style.toml").write_text(text, encoding="utf-8")
    style = load_style("slate", tmp_path)
    assert style.title in block
    assert style != load_style("rule")
