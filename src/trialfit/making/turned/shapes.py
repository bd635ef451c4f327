"""Lengths and areas of a drill's point, a cone, a hexagon. Source: plain geometry."""

from __future__ import annotations

from math import cos, pi, radians, sqrt, tan

POINT_DEG = 118.0


def point_length_mm(drill_mm: float, angle_deg: float = POINT_DEG) -> float:
    """How far a drill's point goes beyond its full diameter.

    Parameters
    ----------
    drill_mm
        Diameter of the drill. [mm]
    angle_deg
        Included angle of its point. [deg]

    Returns
    -------
    float
        Length of the point: 0.3004 diameters at 118 deg. [mm]
    """
    return drill_mm / 2.0 / tan(radians(angle_deg / 2.0))


def cone_depth_mm(mouth_mm: float, small_mm: float, angle_deg: float) -> float:
    """Length of a cone between two diameters.

    Parameters
    ----------
    mouth_mm, small_mm
        Diameters at its wide and its narrow end. [mm]
    angle_deg
        Included angle. [deg]

    Returns
    -------
    float
        Length along the axis. [mm]
    """
    return (mouth_mm - small_mm) / 2.0 / tan(radians(angle_deg / 2.0))


def corners_mm(across_flats_mm: float) -> float:
    """Size of a hexagon over its corners, which is the least round bar it can be made from.

    Parameters
    ----------
    across_flats_mm
        Across flats. [mm]

    Returns
    -------
    float
        Across corners: across flats over cos 30 deg. [mm]
    """
    return across_flats_mm / cos(pi / 6.0)


def hexagon_area_mm2(across_flats_mm: float) -> float:
    """Area of a hexagon.

    Parameters
    ----------
    across_flats_mm
        Across flats. [mm]

    Returns
    -------
    float
        Area. [mm²]
    """
    return sqrt(3.0) / 2.0 * across_flats_mm**2
