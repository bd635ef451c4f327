"""The largest radius of bend, smaller than the one asked for, with which a way goes.

Whether a radius goes is not one question asked the same way all along: a smaller one leaves more straight and cuts a
corner less, so that what stands inside the bend is cleared, but it reaches farther out, where something else may stand.
So looks are taken from the largest down, and between the first that goes and the one before it the step is halved
until they are a tenth of a millimetre apart. What goes over less than a look's step, above, may be passed over. Looks
are quick ones, which may miss a way; from the radius they lead to one goes up by tenths with thorough ones.

Source: bisection; `docs/methods/routes.md`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil

from trialfit.fitup.corners import Bender

# Nobody bends a tube tighter than two of its outside diameters but with a former that he has.
LEAST_OVER_OD = 2.0
_TENTHS = 10
_LOOKS = 6
_HAIR_MM = 1e-6


@dataclass(frozen=True)
class Smaller:
    """A smaller radius with which a way goes.

    Parameters
    ----------
    bender
        The radius, and the straight the bender needs between bends with it.
    former
        Whether the shop has a former of it.
    words
        The same, as the beginning of a clause.
    """

    bender: Bender
    former: bool
    words: str


def largest_smaller(
    goes: Callable[[Bender], bool],
    now: Bender,
    od_mm: float,
    formers: Iterable[Bender] | None = None,
    surely: Callable[[Bender], bool] | None = None,
) -> Smaller | None:
    """Find the largest smaller radius that goes.

    Parameters
    ----------
    goes
        Whether a way goes with a bender, by a quick look that may miss one.
    now
        What no way goes with.
    od_mm
        Outside diameter of the tube. [mm]
    formers
        The shop's formers for this tube, where it bends round nothing else; None where any radius may be bent.
    surely
        The same by a thorough look; None where the quick one is thorough.

    Returns
    -------
    Smaller or None
        Of the shop's formers the largest that goes, each tried as it is; where none of them does, or any radius may be
        bent, the largest tenth of a millimetre, none under two outside diameters.
    """
    thorough = surely or goes
    for former in smaller_formers(now, formers or ()):
        if thorough(former):
            return Smaller(former, True, f"with the shop's former of {former.radius_mm:.4g} mm radius")

    def at(radius_mm: float) -> Bender:
        return Bender(radius_mm, now.grip_mm)

    found = largest_tenth_mm(lambda radius_mm: goes(at(radius_mm)), now.radius_mm, LEAST_OVER_OD * od_mm)
    if found is None:
        return None
    if surely is not None:
        found = gone_up_mm(lambda radius_mm: surely(at(radius_mm)), found, now.radius_mm)
    lacks = "" if formers is None else ", for which the shop has no former,"
    return Smaller(at(found), False, f"with a bend radius of {found:.1f} mm{lacks}")


def smaller_formers(now: Bender, formers: Iterable[Bender]) -> tuple[Bender, ...]:
    """The formers of less radius than the one asked for.

    Parameters
    ----------
    now
        What no way goes with.
    formers
        The shop's for this tube.

    Returns
    -------
    tuple of Bender
        The largest first; of two with one radius the one that needs less straight.
    """
    less = [each for each in formers if each.radius_mm < now.radius_mm - _HAIR_MM]
    return tuple(sorted(less, key=lambda each: (-each.radius_mm, each.grip_mm)))


def largest_tenth_mm(goes: Callable[[float], bool], under_mm: float, least_mm: float) -> float | None:
    """Find the largest tenth of a millimetre in a range that goes.

    Parameters
    ----------
    goes
        Whether a figure goes. [mm]
    under_mm
        All tried are less than this, which does not go. [mm]
    least_mm
        None less than this is tried. [mm]

    Returns
    -------
    float or None
        One that goes where the next tenth does not [mm]; the largest of all where whatever is less goes too. None
        where no look met one that goes.
    """
    low, high = ceil(_TENTHS * (least_mm - _HAIR_MM)), ceil(_TENTHS * (under_mm - _HAIR_MM)) - 1
    if low > high:
        return None
    step = max(ceil((high - low) / _LOOKS), 1)
    fails = high + 1
    going: int | None = None
    for look in (*range(high, low, -step), low):
        if goes(look / _TENTHS):
            going = look
            break
        fails = look
    if going is None:
        return None
    while fails - going > 1:
        middle: int = (going + fails) // 2
        going, fails = (middle, fails) if goes(middle / _TENTHS) else (going, middle)
    return going / _TENTHS


def gone_up_mm(goes: Callable[[float], bool], from_mm: float, under_mm: float) -> float:
    """Go up by tenths of a millimetre for as long as it goes.

    Parameters
    ----------
    goes
        Whether a figure goes. [mm]
    from_mm
        One that does. [mm]
    under_mm
        All tried are less than this. [mm]

    Returns
    -------
    float
        The last that goes before one that does not. [mm]
    """
    tenths = round(_TENTHS * from_mm)
    while (tenths + 1) / _TENTHS < under_mm - _HAIR_MM and goes((tenths + 1) / _TENTHS):
        tenths += 1
    return tenths / _TENTHS
