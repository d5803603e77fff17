from __future__ import annotations

import pytest

from overlays.logs.statedrate import find_rate


@pytest.mark.parametrize(
    ("line", "decimal", "hz"),
    [
        ("Sample rate = 2,5 kHz", ",", 2500.0),
        ("Sample Rate (Hz),200", ".", 200.0),
        ("Abtastrate [kHz];2,5", ",", 2500.0),
        ("SamplingFrequency_Hz=48000", ".", 48000.0),
        ("Rate: 1,000 Hz", ".", 1000.0),
        ("Sampling: 10 S/s", ".", 10.0),
        ("Abtastintervall;2,5;ms", ".", 400.0),
        ("Sample Interval,1e-3,s", ".", 1000.0),
        ("dt [ms]\t5", ".", 200.0),
        ("Time step: 20 µs", ".", 50000.0),
        ("サンプリング間隔：10 ms", ".", 100.0),
    ],
)
def test_stated(line: str, decimal: str, hz: float) -> None:
    """Rates and intervals are read with their unit, in front or behind, in either decimal mark."""
    rate = find_rate(["logger 7", line])
    assert rate is not None
    assert rate.hz(decimal) == pytest.approx(hz)


@pytest.mark.parametrize(
    "line", ["Time base: 1 ms/div", "Rate: 10", "Baud rate 9600", "Interval: long", "F 20 Hz", ""]
)
def test_not_stated(line: str) -> None:
    """A number without its unit, or of something else, is no rate."""
    assert find_rate([line]) is None
