"""Three figures as a band. Source: none needed."""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.finding import Band


def three(figures: Iterable[float], unit: str, places: int = 2) -> Band:
    """Make a band of three figures.

    Parameters
    ----------
    figures
        Low, likely and high, in `unit`. [unit]
    unit
        Unit as printed.
    places
        Decimals worth printing. [-]

    Returns
    -------
    Band
        The band.
    """
    low, likely, high = figures
    return Band(low, likely, high, unit, places)
