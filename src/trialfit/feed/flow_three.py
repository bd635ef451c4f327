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


def sure(figure: float, unit: str = "-", places: int = 2) -> Band:
    """Make a band without width.

    Parameters
    ----------
    figure
        The figure, in `unit`. [unit]
    unit
        Unit as printed.
    places
        Decimals worth printing. [-]

    Returns
    -------
    Band
        Low, likely and high alike.
    """
    return Band(figure, figure, figure, unit, places)


def ends(band: Band) -> tuple[float, float, float]:
    """Give the three figures of a band.

    Parameters
    ----------
    band
        The band.

    Returns
    -------
    tuple of float
        Low, likely and high. [the band's unit]
    """
    return band.low, band.likely, band.high
