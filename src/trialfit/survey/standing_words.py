"""Where to stand, in words an owner can follow. Source: words only; the steps between them are chosen for the grid."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trialfit.survey.standing import Bearing

_INCH_MM = 25.4
_LIKE = 0.12


def from_where(bearing: Bearing) -> str:
    """Say from which side and how high.

    Parameters
    ----------
    bearing
        Where to stand.

    Returns
    -------
    str
        Such as ``from the left, about 40 degrees round, a little above``.
    """
    return f"{_side(bearing.azimuth_deg)}, {_height(bearing.height_deg)}"


def how_near(bearing: Bearing, stood: Iterable[tuple[str, Bearing]]) -> str:
    """Say how near, by a photograph that was taken from as far, if there is one.

    Parameters
    ----------
    bearing
        Where to stand.
    stood
        What earlier photographs are called, and where they were taken from.

    Returns
    -------
    str
        Such as ``about 29 cm (11 in) away, as near as view0.jpg``.
    """
    away_mm = bearing.distance_mm
    words = f"about {away_mm / 10.0:.0f} cm ({away_mm / _INCH_MM:.0f} in) away"
    like = [(abs(each.distance_mm / away_mm - 1.0), name) for name, each in stood]
    if like and min(like)[0] <= _LIKE:
        words += f", as near as {min(like)[1]}"
    return words


def listed(words: Sequence[str]) -> str:
    """Join words as one says them.

    Parameters
    ----------
    words
        At least one.

    Returns
    -------
    str
        ``a``, ``a and b``, ``a, b and c``.
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _side(azimuth_deg: float) -> str:
    round_deg = abs(azimuth_deg)
    side = "left" if azimuth_deg < 0 else "right"
    if round_deg < 10.0:
        return "from straight in front"
    if round_deg < 30.0:
        return f"from a little to the {side}, about {round_deg:.0f} degrees round"
    if round_deg < 70.0:
        return f"from the {side}, about {round_deg:.0f} degrees round"
    return f"from the {side}, about {round_deg:.0f} degrees round, nearly side on"


def _height(height_deg: float) -> str:
    if height_deg < 5.0:
        return "level with it"
    if height_deg < 15.0:
        return "almost level with it"
    if height_deg < 35.0:
        return f"a little above (about {height_deg:.0f} degrees down)"
    if height_deg < 55.0:
        return f"from well above (about {height_deg:.0f} degrees down)"
    return f"from high above, looking steeply down (about {height_deg:.0f} degrees)"
