"""Colour arithmetic against published values; sources stand in data/checks/colour*.json."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks import colour
from overlays.style.colour import Colour
from tests.outside import Row, rows

UNIT = st.floats(0, 1, allow_nan=False)
COLOURS = st.tuples(UNIT, UNIT, UNIT)


def srgb(text: str) -> tuple[float, float, float]:
    red, green, blue = Colour.parse(text).rgb
    return red / 255, green / 255, blue / 255


def ids(row: Row) -> str:
    return row.id


@pytest.mark.parametrize("row", rows("colour", "srgb.dec"), ids=ids)
def test_srgb_codes_decode_to_published_light(row: Row) -> None:
    """Eight-bit sRGB codes decode as IEC 61966-2-1 says."""
    decoded = colour.linear_from_srgb(row.input["8bit"] / 255)
    assert decoded == pytest.approx(row.expected["linear"], abs=1e-9)


@pytest.mark.parametrize("row", rows("colour", "srgb.enc"), ids=ids)
def test_light_encodes_to_published_srgb(row: Row) -> None:
    """Linear light encodes as IEC 61966-2-1 says, also just at the joint of its two branches."""
    encoded = colour.srgb_from_linear(row.input["linear"])
    assert encoded == pytest.approx(row.expected["encoded"], abs=1e-9)


@given(COLOURS)
def test_every_conversion_undoes_its_inverse(rgb: tuple[float, float, float]) -> None:
    """Encoding and decoding return the colour."""
    assert colour.srgb_from_linear(colour.linear_from_srgb(rgb)) == pytest.approx(rgb, abs=1e-6)


@pytest.mark.parametrize("row", rows("colour", "lab."), ids=ids)
def test_srgb_colours_have_their_lab_values(row: Row) -> None:
    """sRGB colours land on the L*a*b* values a colour library computes."""
    lab = colour.lab_from_srgb(srgb(row.input["sRGB"]))
    assert lab == pytest.approx(row.expected["Lab_D65"], abs=0.01)


def test_there_are_all_34_pairs_of_sharma() -> None:
    """The check of the colour difference leaves no published pair out."""
    pairs = [row for row in rows("colour_difference") if "Lab1" in row.input]
    assert len(pairs) == 34


@pytest.mark.parametrize(
    "row", [row for row in rows("colour_difference") if "Lab1" in row.input], ids=ids
)
def test_ciede2000_gives_sharmas_differences(row: Row) -> None:
    """Every pair of Sharma's table comes out both ways round, pair 14 on the half turn too."""
    there = colour.ciede2000(row.input["Lab1"], row.input["Lab2"])
    back = colour.ciede2000(row.input["Lab2"], row.input["Lab1"])
    assert there == pytest.approx(row.expected["dE00"], abs=5e-5)
    assert back == pytest.approx(row.expected["dE00"], abs=5e-5)


def test_ciede2000_broadcasts() -> None:
    """One colour against many gives one difference each, zero for itself."""
    many = colour.lab_from_srgb(np.array([[1, 0, 0], [0, 1, 0], [0, 0, 0]], float))
    difference = colour.ciede2000(many[0], many)
    assert difference.shape == (3,)
    assert difference[0] == 0
    assert difference[1] > 50


@pytest.mark.parametrize("row", rows("colour_vision", "cvdsim"), ids=ids)
def test_simulated_vision_gives_published_codes(row: Row) -> None:
    """Simulated colours agree with two libraries to one code: light is linearised first."""
    short = {"protanopia": "Protan", "deuteranopia": "Deutan", "tritanopia": "Tritan"}
    for deficiency, name in short.items():
        seen = np.rint(colour.simulate(np.array(row.input["sRGB8"]) / 255, deficiency) * 255)
        assert np.abs(seen - row.expected[f"machado1.0_{name}"]).max() <= 1


@pytest.mark.parametrize("row", rows("colour_vision", "machado"), ids=ids)
def test_simulation_matrices_are_the_published_ones(row: Row) -> None:
    """The matrices are those of Machado and others, Table for severity 1."""
    name = row.id.removeprefix("machado.").lower()[:4]
    matrix = next(m for key, m in colour.DEFICIENCIES.items() if key.startswith(name))
    assert matrix == pytest.approx(np.array(row.expected["matrix_rows"]), abs=1e-6)


@pytest.mark.parametrize(
    "row", [row for row in rows("colour", "wcag.#") if "fg" in row.input], ids=ids
)
def test_contrast_ratios_are_those_of_wcag(row: Row) -> None:
    """Contrast ratios agree with a library and are never rounded up to a limit."""
    pair = srgb(row.input["fg"]), srgb(row.input["bg"])
    ratio = float(colour.contrast_ratio(*pair))
    assert ratio == pytest.approx(row.expected["ratio"], abs=1e-9)
    assert (ratio >= 4.5) == row.expected["AA_normal(4.5)"]
    assert (ratio >= 3) == row.expected["AA_large(3)"]


def test_the_two_thresholds_of_srgb_split_no_8_bit_code() -> None:
    """WCAG's 0.03928 and IEC's 0.04045 give the same luminance for every 8-bit code."""
    codes = np.arange(256) / 255
    by_wcag = np.where(codes <= 0.03928, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    assert np.array_equal(by_wcag, colour.linear_from_srgb(codes))
