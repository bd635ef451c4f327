"""Standard wire gauge, and walls written in either gauge or length.

Source: BS 3737:1964, by the rows of ``figures/swg.csv``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from trialfit.errors import Refusal
from trialfit.tables.rows import rows
from trialfit.units import length_mm, read


@cache
def gauges() -> Mapping[int, float]:
    """Give the standard wire gauges.

    Returns
    -------
    Mapping
        Thickness by gauge number, thick to thin. [mm]
    """
    return {int(row["gauge"]): length_mm(f"{row['diameter_in']} in") for row in rows("swg.csv")}


def swg_mm(gauge: int, what: str = "wall") -> float:
    """Give the thickness of a gauge.

    Parameters
    ----------
    gauge
        Gauge number. [swg]
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Thickness. [mm]

    Raises
    ------
    Refusal
        The gauge is not in the table.
    """
    if gauge not in gauges():
        least, most = min(gauges()), max(gauges())
        raise Refusal(
            what, f"{gauge} swg", f"a gauge from {least} to {most} swg", "Measure the wall and give it as a length."
        )
    return gauges()[gauge]


def wall_mm(text: object, what: str = "wall") -> float:
    """Read a wall, written as a wire gauge or as a length.

    Parameters
    ----------
    text
        Such as ``22 swg``, ``0.7 mm``, ``0.028 in``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Thickness. [mm]

    Raises
    ------
    Refusal
        Neither a gauge of the table nor a length greater than nought.
    """
    if isinstance(text, str) and re.search(r"s\.?w\.?g", text, re.IGNORECASE):
        plain = re.sub(r"s\.?w\.?g\.?", "swg", text.strip(), flags=re.IGNORECASE)
        gauge = read(plain, "wire gauge", what).number
        if gauge.denominator != 1:
            raise Refusal(
                what, text.strip(), "a whole gauge such as 22 swg", "Measure the wall and give it as a length."
            )
        return swg_mm(int(gauge), what)
    try:
        thickness_mm = length_mm(text, what)
    except Refusal as refusal:
        wanted, remedy = "a wall such as 22 swg, 0.7 mm or 0.028 in", refusal.fault.remedy
        if isinstance(text, str) and re.fullmatch(r"\s*\d+\s*", text):
            remedy = f"Put the unit behind the number: {text.strip()} swg, or the thickness with mm or in."
        raise Refusal(what, refusal.fault.got, wanted, remedy) from None
    if thickness_mm <= 0:
        raise Refusal(what, str(text).strip(), "a wall thicker than nought", "Measure the wall again.")
    return thickness_mm
