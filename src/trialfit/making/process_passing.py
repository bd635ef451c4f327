"""Whether a nut passes a bend.

Source: geometry. Seen in the plane of the bend, the tube lies between two circles about the bend's centre; the nut's
hole is a straight strip between two lines. It has to clear the outside of the bend in its middle and the inside at
its ends.
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt, tan


def hole_to_pass_mm(od_mm: float, radius_mm: float, long_mm: float, angle_deg: float = 180.0) -> float:
    """Smallest hole that slides round a bend.

    Parameters
    ----------
    od_mm
        Outside diameter of the tube. [mm]
    radius_mm
        Centre-line radius of the bend. [mm]
    long_mm
        Length of the hole. [mm]
    angle_deg
        Angle of the bend; a short bend is easier than a long one, because the nut's ends already lie on the straights.
        [deg]

    Returns
    -------
    float
        Diameter of the hole; infinite where the nut is longer than the bend is wide. [mm]

    Valid
    -----
    A round tube that keeps its section, with straights beyond the bend at least as long as half the nut.
    """
    outer_mm, inner_mm, half_mm = radius_mm + od_mm / 2, radius_mm - od_mm / 2, long_mm / 2
    if inner_mm <= 0:
        return float("inf")
    half = radians(min(angle_deg, 180.0) / 2)
    if half_mm <= inner_mm * sin(half):
        return outer_mm - sqrt(inner_mm**2 - half_mm**2)
    if angle_deg >= 180.0:
        return float("inf")
    # The inside of the bend ends here, and the straight goes on from it along its tangent.
    at_end_mm = inner_mm * cos(half) - (half_mm - inner_mm * sin(half)) * tan(half)
    return outer_mm - at_end_mm


def passes(hole_mm: float, long_mm: float, od_mm: float, radius_mm: float, angle_deg: float = 180.0) -> bool:
    """Whether a nut passes a bend.

    Parameters
    ----------
    hole_mm, long_mm
        Diameter and length of the nut's hole. [mm]
    od_mm
        Outside diameter of the tube. [mm]
    radius_mm, angle_deg
        Centre-line radius and angle of the bend. [mm, deg]

    Returns
    -------
    bool
        True where the hole is large enough, with nothing to spare.
    """
    return hole_mm >= hole_to_pass_mm(od_mm, radius_mm, long_mm, angle_deg)
