"""The declared filter of a channel, put to its trace."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from overlays.conditioning.lowpass import (
    CHANNEL_CLASS_CORNER,
    both_ways,
    butterworth_sections,
    channel_class_sections,
    design_corner_hz,
)
from overlays.conditioning.medians import moving_median, odd_samples
from overlays.conditioning.pieces import by_piece
from overlays.conditioning.rate import rate_hz, resample, trace_steps
from overlays.errors import SessionError
from overlays.logs.evenness import JITTER, is_even
from overlays.model.conditionspec import (
    AnyFilter,
    ButterworthSpec,
    ChannelClassSpec,
    MovingMedianSpec,
    SavitzkyGolaySpec,
)
from overlays.model.trace import FloatArray, Trace

__all__ = ["filtered", "savitzky_golay"]


def filtered(trace: Trace, spec: AnyFilter, *, jitter: float = JITTER) -> Trace:
    """Filter a trace between its gaps.

    Where the samples did not come evenly, the trace is first put on an even grid at its usual
    step, and says so.

    Parameters
    ----------
    trace : Trace
        In any unit.
    spec : AnyFilter
        Which filter.
    jitter : float
        Share of the usual step by which steps may differ (`overlays.logs.evenness.is_even`).

    Raises
    ------
    SessionError
        If the filter asks for more than the sampling rate gives; ``field`` names its key.
    """
    rate = rate_hz(trace.time_s, trace.values)
    if rate is None:
        return replace(trace, flags=(*trace.flags, "too few samples to filter"))
    time_s, values, steps = trace.time_s, trace.values, list(trace.steps)
    if not is_even(trace_steps(time_s, values), jitter=jitter):
        time_s, values = resample(time_s, values, 1 / rate)
        steps.append(f"resampled at {rate:.4g}/s")
    work, phrase = _work(spec, rate)
    return replace(trace, time_s=time_s, values=work(values), steps=(*steps, phrase))


def _work(spec: AnyFilter, rate: float) -> tuple[Callable[[FloatArray], FloatArray], str]:
    """Return what a filter does to values at a rate, and how a footnote calls it."""
    match spec:
        case ButterworthSpec():
            cutoff = spec.cutoff.to("Hz")
            _check_rate(cutoff * 2, rate, f"a cutoff of {cutoff:g} Hz", "cutoff")
            sections = butterworth_sections(cutoff, rate, spec.order)
            corner = design_corner_hz(cutoff, rate, spec.order)
            phrase = f"{cutoff:g} Hz zero-phase"
        case ChannelClassSpec():
            name = f"channel class {spec.channel_class}"
            _check_rate(10 * spec.channel_class, rate, name, "channel_class")
            sections = channel_class_sections(spec.channel_class, rate)
            corner = CHANNEL_CLASS_CORNER * spec.channel_class
            phrase = f"CFC {spec.channel_class}"
        case SavitzkyGolaySpec():
            samples = odd_samples(spec.window.to("s"), rate)
            if samples <= spec.order:
                raise SessionError(
                    f"a window of {samples} samples is too short for order {spec.order}.",
                    code="window-too-short",
                    remedy="Lengthen the window, or lower the order.",
                    field="window",
                )
            phrase = f"Savitzky–Golay over {spec.window.to('s'):g} s, order {spec.order}"
            return lambda values: savitzky_golay(values, samples, spec.order), phrase
        case MovingMedianSpec():
            samples = odd_samples(spec.window.to("s"), rate)
            phrase = f"median over {spec.window.to('s'):g} s"
            return lambda v: by_piece(v, lambda piece: moving_median(piece, samples)), phrase
    return lambda v: both_ways(v, sections, rate_hz=rate, corner_hz=corner), phrase


def _check_rate(needed: float, rate: float, what: str, field: str) -> None:
    if rate < needed * (1 - 1e-9) or (field == "cutoff" and rate <= needed):
        raise SessionError(
            f"{what} needs at least {needed:g} samples a second; the log has {rate:.4g}.",
            code="rate-too-low",
            remedy="Choose a filter that is lower, or log faster.",
            field=field,
        )


def savitzky_golay(values: FloatArray, samples: int, order: int) -> FloatArray:
    """Fit a polynomial to a moving window (Savitzky & Golay 1964, corrected by Steinier 1972).

    At the ends, the polynomial of the outermost window goes on to the end.

    Parameters
    ----------
    values : ndarray of shape (N,)
        At an even rate; NaN is a gap and stays one. Pieces shorter than the window are fitted
        with a shorter one, and those too short for the polynomial stay as they are.
    samples : int
        Odd length of the window.
    order : int
        Order of the polynomial, below `samples`.
    """
    from scipy import signal

    def fitted(piece: FloatArray) -> FloatArray:
        length = min(samples, len(piece) - 1 + len(piece) % 2)
        if length <= order:
            return piece
        return np.asarray(signal.savgol_filter(piece, length, order, mode="interp"))

    return by_piece(values, fitted)
