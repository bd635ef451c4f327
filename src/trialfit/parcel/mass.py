"""What a parcel weighs, and how surely.

Source: plain addition. A piece on the scales is taken as right to half of its last figure written; a new piece, worked
out from its sizes, to the tenth by which tube may be thick or thin (the wall's tolerance of ASTM B88's smallest sizes);
what is independent is added by squares. All three are assumed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from math import hypot

from trialfit.finding import Basis, Figure, Reason
from trialfit.job.parcel import ParcelEntry
from trialfit.parcel.records import UNWEIGHED_BOX, NewPiece, PieceLine
from trialfit.units import Quantity

_WORKED_OUT_SHARE = 0.10
HOW_SURE = Reason(
    "What was weighed is taken as right to half of its last figure, what is worked out from its sizes within "
    f"{100 * _WORKED_OUT_SHARE:.0f} %.",
    "",
    Basis.ASSUMED,
)


def half_last_place_g(mass: Quantity) -> float:
    """Half of the last figure that a mass is written with.

    Parameters
    ----------
    mass
        The mass as typed.

    Returns
    -------
    float
        0.5 for ``38 g``, 0.05 for ``0.3 g``. [g]
    """
    decimals = re.search(r"\.(\d+)", mass.written)
    half = Fraction(1, 2 * 10 ** (len(decimals[1]) if decimals else 0))
    return float(Quantity(half, mass.unit, "").to("g"))


def mass_of(
    parcel: ParcelEntry, lines: tuple[PieceLine, ...], new: tuple[NewPiece, ...]
) -> tuple[Figure, tuple[str, ...]]:
    """Add up all that goes out, as far as it is known.

    Parameters
    ----------
    parcel
        The parcel of the job.
    lines
        What came, with what becomes of it.
    new
        What is new in it.

    Returns
    -------
    tuple
        The mass with k = 2 of what is known, and what is not.
    """
    mass_g, k2_g = sum(each.mass_g for each in new), hypot(*(_WORKED_OUT_SHARE * each.mass_g for each in new))
    lacks = []
    for what, count, mass in _on_the_scales(parcel, lines):
        if mass is None:
            lacks.append(what)
        else:
            mass_g += count * float(mass.to("g"))
            # Pieces alike were weighed as one, and are all wrong together.
            k2_g = hypot(k2_g, count * half_last_place_g(mass))
    return Figure(mass_g, "g", k2_g, 0 if k2_g >= 1.0 else 1), tuple(dict.fromkeys(lacks))


def _on_the_scales(parcel: ParcelEntry, lines: tuple[PieceLine, ...]) -> Iterator[tuple[str, int, Quantity | None]]:
    for line in lines:
        back = sum(fate.count for fate in line.fates if fate.comes_back and not fate.within)
        if back:
            yield line.entry.what, back, line.entry.mass
    yield from ((each.what, each.count, each.mass) for each in parcel.transit.values())
    yield from ((each.what, each.count, each.mass) for each in parcel.enclosed.values())
    yield (UNWEIGHED_BOX, 1, None) if parcel.box is None else ("", 1, parcel.box.mass)
