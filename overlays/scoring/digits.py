"""Digits by how sure a figure is: those shown by default, and those beside a plus-minus."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace

from overlays.errors import Problems
from overlays.model.result import Figure, Results
from overlays.numbers import fixed, typeset
from overlays.scoring.trust import Trust, trust_of
from overlays.units import symbol

__all__ = [
    "poor_digits",
    "settle_digits",
    "supported_places",
    "told",
    "warn_of_digits",
    "with_uncertainty",
]

_MOST_PLACES = 6
# What is smaller than this share of its value is the dust of computing, not an uncertainty.
_DUST = 1e-9


def supported_places(uncertainty: float) -> int:
    """Return the decimals that an uncertainty supports.

    The place of its second significant digit, for more than two are never quoted and a result is
    rounded to go with them (GUM 7.2.6). Negative left of the decimal mark.

    Examples
    --------
    >>> supported_places(0.34), supported_places(1.2), supported_places(16.0)
    (2, 1, 0)
    """
    places = 1 - math.floor(math.log10(uncertainty))
    # 0.0996 becomes 0.10, not 0.100: rounding may carry into a new first digit.
    carried = float(fixed(uncertainty, places)) * 10.0**places >= 100 * (1 - _DUST)
    return places - 1 if carried else places


def _places(figure: Figure, trust: Trust) -> int | None:
    """Return the decimals a figure's uncertainty supports; None where it is not known."""
    if figure.value is None or not trust.expanded:
        return None
    if trust.expanded <= _DUST * abs(figure.value):
        return None
    return supported_places(trust.expanded)


def settle_digits(results: Results) -> Mapping[tuple[str, str], Figure]:
    """Show figures that declare no decimals with as many as all their entries' uncertainties allow.

    All entries have the same decimals, so that they can be compared and their columns stand under
    each other; the least certain one decides.

    Parameters
    ----------
    results : Results
        With every figure, and no standings yet.
    """
    settled = dict(results.figures)
    for key, spec in results.session.spec.figures.items():
        if spec.places is not None:
            continue
        own = {entry: figure for (name, entry), figure in settled.items() if name == key}
        known = [_places(figure, trust_of(results, key, entry)) for entry, figure in own.items()]
        supported = [places for places in known if places is not None]
        if not supported:
            continue
        places = max(0, min(_MOST_PLACES, *supported))
        for entry, figure in own.items():
            shown = figure.shown if figure.value is None else fixed(figure.value, places)
            settled[key, entry] = replace(figure, places=places, shown=shown)
    return settled


def told(results: Results, trust: Trust) -> tuple[str, str]:
    """Write a figure and its expanded uncertainty (95 %) to one place, as GUM 7.2.6 has it.

    Always in plain decimals, never in powers of ten.

    Returns
    -------
    value, uncertainty : str
        As `overlays.numbers.fixed` writes them. Where the uncertainty is unknown it is empty, and
        the value is written as it is shown.

    Examples
    --------
    A value of 504.7 ml that is known to ±151.3 ml is written ``("500", "150")``: 10 ml is the
    last place that the uncertainty supports.
    """
    figure = results.figures[trust.figure, trust.entry]
    places = _places(figure, trust)
    if figure.value is None or trust.expanded is None or places is None:
        return figure.shown, ""
    return fixed(figure.value, places), fixed(trust.expanded, places)


def with_uncertainty(results: Results, trust: Trust) -> str:
    """Write a figure with its expanded uncertainty and unit: ``62.4 ± 0.9 N·m``; see `told`."""
    mark = results.session.spec.episode.decimal_mark
    unit = symbol(results.figures[trust.figure, trust.entry].unit)
    parts = [typeset(part, decimal_mark=mark) for part in told(results, trust) if part]
    text = " ± ".join(parts)
    bracketed = len(parts) > 1 and unit in {"°C", "%"}
    return f"({text}) {unit}" if bracketed else f"{text} {unit}".rstrip()


def poor_digits(results: Results) -> Mapping[tuple[str, str], Trust]:
    """Return, by (figure, entry), figures whose declared decimals claim more than is known."""
    found = {}
    for key, spec in results.session.spec.figures.items():
        for entry in results.session.spec.entries if spec.places is not None else ():
            trust = trust_of(results, key, entry)
            places = _places(results.figures[key, entry], trust)
            if places is not None and places < (spec.places or 0):
                found[key, entry] = trust
    return found


def warn_of_digits(
    results: Results, problems: Problems, *, explained: Collection[tuple[str, str]] = ()
) -> None:
    """Record a warning for each figure declared with more decimals than its uncertainty supports.

    Parameters
    ----------
    results : Results
        What was worked out.
    problems : Problems
        Receives the warnings.
    explained : collection of (figure, entry)
        Those of which another warning has told why they are uncertain.
    """
    poor: dict[str, list[Trust]] = {}
    for place, trust in poor_digits(results).items():
        if place not in explained:
            poor.setdefault(trust.figure, []).append(trust)
    for key, own in poor.items():
        places = results.session.spec.figures[key].places or 0
        supported = [supported_places(trust.expanded) for trust in own if trust.expanded]
        texts = [f"{trust.entry} {with_uncertainty(results, trust)}" for trust in own]
        problems.warn(
            "too-many-digits",
            f"{key} is shown with {_decimals(places)}, more than its uncertainty supports "
            f"(95 %): {'; '.join(texts)}.",
            remedy=_remedy(places, max(0, min(supported))),
            file="session.toml",
            line=results.session.line("figures", key, "places"),
        )


def _remedy(places: int, supported: int) -> str:
    if places == supported:
        # There are no decimals left to take away.
        return "Round it where it is said, or run more repeats."
    return (
        f"Show {_decimals(supported)}, leave places out so that the digits follow the "
        "uncertainty, or run more repeats."
    )


def _decimals(count: int) -> str:
    return f"{count or 'no'} {'decimal' if count == 1 else 'decimals'}"
