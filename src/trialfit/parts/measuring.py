"""Sums of the bench: what a caliper, a rule, a pair of balls and a scale say of a part, with their plus-or-minus.

Plus-or-minus is k = 2 throughout. Errors of different readings are taken as independent, and small enough for the
first order: each result's is the root of the sum of squares of what each reading alone would move it by.

Source: plane geometry; tube by weight from the volume of a hollow cylinder; propagation as in the GUM (JCGM 100).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import asin, atan, cos, degrees, hypot, pi, radians, sin, sqrt

from trialfit.errors import Refusal
from trialfit.finding import Figure


@dataclass(frozen=True)
class Taken:
    """A reading with its plus-or-minus.

    Parameters
    ----------
    value
        What was read, in the unit of the reading. [unit]
    k2
        Its plus-or-minus, k = 2, in the same unit. [unit]
    """

    value: float
    k2: float = 0.0


@dataclass(frozen=True)
class TubeByWeight:
    """A tube's inside, worked out from its weight.

    Parameters
    ----------
    bore
        Bore. [mm]
    wall
        Thickness of the wall, evenly round. [mm]
    """

    bore: Figure
    wall: Figure


def pitch_by_counting(counted: int, length_mm: Taken) -> Figure:
    """Pitch of a thread from a length over several threads.

    Parameters
    ----------
    counted
        Pitches counted along it: nought at the first crest. [-]
    length_mm
        From crest to crest. [mm]

    Returns
    -------
    Figure
        Pitch. [mm]

    Raises
    ------
    Refusal
        Fewer than one pitch, or no length.
    """
    if counted < 1 or not length_mm.value > 0:
        wanted = "a length over at least one pitch"
        remedy = "Count from nought at the first crest."
        raise Refusal("threads", f"{length_mm.value:g} mm over {counted}", wanted, remedy)
    return Figure(length_mm.value / counted, "mm", length_mm.k2 / counted, 3)


def cone_by_mouth(wide_mm: Taken, narrow_mm: Taken, deep_mm: Taken) -> Figure:
    """Included angle of a cone from two diameters and the depth between them.

    Parameters
    ----------
    wide_mm
        Diameter of the mouth. [mm]
    narrow_mm
        Diameter further in, as of a rod that stops there, or the bore the cone runs out into. [mm]
    deep_mm
        How far apart the two lie along the axis. [mm]

    Returns
    -------
    Figure
        Included angle: twice the arc tangent of half the difference over the depth. [deg]

    Raises
    ------
    Refusal
        The narrow diameter is not the smaller, or the depth not above nought.
    """
    if not (deep_mm.value > 0 and wide_mm.value > narrow_mm.value >= 0):
        got = f"{wide_mm.value:g} mm at the mouth, {narrow_mm.value:g} mm at {deep_mm.value:g} mm deep"
        raise Refusal("cone", got, "a cone that narrows inwards", "Were the two diameters exchanged?")

    def angle_deg(wide: float, narrow: float, deep: float) -> float:
        return 2 * degrees(atan((wide - narrow) / (2 * deep)))

    return _figure(angle_deg, (wide_mm, narrow_mm, deep_mm), "deg", 1)


def cone_by_balls(large_mm: Taken, small_mm: Taken, large_top_mm: Taken, small_top_mm: Taken) -> Figure:
    """Included angle of a hollow cone from how deep two balls lie in it.

    The top of a ball of radius R lies R (1 + 1/sin a) from the cone's point, a being the half angle; so two balls give
    sin a = (R - r) / (h - (R - r)) with h how much deeper the small one's top lies. No diameter of the cone is needed,
    and its worn edge does not matter.

    Parameters
    ----------
    large_mm, small_mm
        Diameters of the balls. [mm]
    large_top_mm, small_top_mm
        How deep the top of each lies below the face; negative where it stands proud. [mm]

    Returns
    -------
    Figure
        Included angle. [deg]

    Raises
    ------
    Refusal
        The readings belong to no cone.
    """

    def angle_deg(large: float, small: float, large_top: float, small_top: float) -> float:
        less = (large - small) / 2
        return 2 * degrees(asin(less / (small_top - large_top - less)))

    less_mm = (large_mm.value - small_mm.value) / 2
    if not (less_mm > 0 and small_top_mm.value - large_top_mm.value > 2 * less_mm):
        got = (
            f"balls of {large_mm.value:g} and {small_mm.value:g} mm with tops {large_top_mm.value:g} and "
            f"{small_top_mm.value:g} mm deep"
        )
        wanted = "a small ball that lies deeper by more than the difference of the diameters"
        raise Refusal(
            "cone", got, wanted, "Measure from one face, down as positive; does the small ball touch the bore?"
        )
    return _figure(angle_deg, (large_mm, small_mm, large_top_mm, small_top_mm), "deg", 1)


def tube_by_weight(mass_g: Taken, length_mm: Taken, od_mm: Taken, density_kg_m3: Taken) -> TubeByWeight:
    """Bore and wall of a tube from its weight, where no caliper reaches inside.

    Parameters
    ----------
    mass_g
        What the piece weighs, clean and dry. [g]
    length_mm
        Its length, ends square. [mm]
    od_mm
        Outside diameter. [mm]
    density_kg_m3
        Density of the metal. [kg/m³]

    Returns
    -------
    TubeByWeight
        Bore d = sqrt(D² - 4 m / (pi density L)), and half of what is left of D.

    Raises
    ------
    Refusal
        A reading is nought or less, or the piece weighs as much as a solid rod or more.
    """
    for name, taken, unit in (
        ("weight", mass_g, "g"),
        ("length", length_mm, "mm"),
        ("outside diameter", od_mm, "mm"),
        ("density", density_kg_m3, "kg/m³"),
    ):
        if not taken.value > 0:
            raise Refusal(f"tube, {name}", f"{taken.value:g} {unit}", "more than nought", "Measure it again.")
    solid_g = density_kg_m3.value * 1e-6 * pi / 4 * od_mm.value**2 * length_mm.value
    if mass_g.value >= solid_g:
        wanted = f"less than {solid_g:.2f} g, the weight of a solid rod"
        remedy = "Is it solid, or of another metal? Were grams and the right length given?"
        raise Refusal("tube, weight", f"{mass_g.value:g} g", wanted, remedy)

    def bore_mm(mass: float, length: float, od: float, density: float) -> float:
        return sqrt(od**2 - 4 * mass / (pi * density * 1e-6 * length))

    def wall_mm(mass: float, length: float, od: float, density: float) -> float:
        return (od - bore_mm(mass, length, od, density)) / 2

    readings = (mass_g, length_mm, od_mm, density_kg_m3)
    return TubeByWeight(_figure(bore_mm, readings, "mm", 3), _figure(wall_mm, readings, "mm", 3))


def across_corners_mm(across_flats_mm: float) -> float:
    """Distance between opposite corners of a sharp hexagon.

    Parameters
    ----------
    across_flats_mm
        Between opposite flats. [mm]

    Returns
    -------
    float
        Between opposite corners, 2/sqrt 3 times as much. [mm]
    """
    return across_flats_mm * 2 / sqrt(3)


def middle_shift_mm(radius_mm: float, distance_mm: float, tilt_deg: float) -> float:
    """How far the middle of a round face's picture lies from the picture of its middle.

    Parameters
    ----------
    radius_mm
        Radius of the face. [mm]
    distance_mm
        From the phone's lens to the face. [mm]
    tilt_deg
        Between the face's axis and the line of sight. [deg]

    Returns
    -------
    float
        The shift, at the face; towards the phone's side of the face it is nearer. [mm]

    Source
    ------
    Central projection of the two ends of the ellipse's short axis, whose middle is the ellipse's.
    """
    across, along = radius_mm * cos(radians(tilt_deg)), radius_mm * sin(radians(tilt_deg))
    near, far = across / (distance_mm - along), across / (distance_mm + along)
    return distance_mm * (near - far) / 2


def _figure(of: Callable[..., float], readings: Sequence[Taken], unit: str, places: int) -> Figure:
    """Work a result out, and move each reading by its plus-or-minus both ways to see what that does to it."""
    values = [taken.value for taken in readings]
    moved = []
    for k, taken in enumerate(readings):
        # A thousandth of the plus-or-minus, so that the slope is taken where the reading is.
        step = taken.k2 / 1000
        ends = [of(*values[:k], values[k] + sign * step, *values[k + 1 :]) for sign in (1, -1)] if step else [0.0, 0.0]
        moved.append(1000 * (ends[0] - ends[1]) / 2)
    return Figure(of(*values), unit, hypot(*moved), places)
