"""Lengths and areas of a drill's point, a cone, a hexagon, a thread. Source: plain geometry."""

from __future__ import annotations

from math import cos, pi, radians, sqrt, tan

from trialfit.tables.threads import Thread

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


def thread_mean_mm(thread: Thread, inner_mm: float) -> float:
    """Diameter of the plain cylinder that holds as much metal as a thread.

    Parameters
    ----------
    thread
        The thread: its flanks are straight from its major diameter inwards.
    inner_mm
        Diameter it is cut down to: the core of a male thread, the tapping hole of a female one. [mm]

    Returns
    -------
    float
        Root of the mean square of the diameter over one pitch; the hole itself where nothing
        of the thread is left. [mm]

    Source
    ------
    A helix takes away as much as the same profile turned ring by ring. Along half a pitch the diameter is the major,
    then falls straight by 2 / tan(half the thread's angle), then is the inner one; it passes the effective diameter
    half way. Crests and roots are taken as flat.
    """
    major, half_mm = thread.major_mm, thread.pitch_mm / 2.0
    if inner_mm >= major:
        return inner_mm
    fall = 2.0 / tan(radians(thread.angle_deg / 2.0))
    crest_mm = half_mm / 2.0 - (major - thread.effective_mm) / fall
    root_mm = half_mm / 2.0 - (thread.effective_mm - inner_mm) / fall
    flank = (major**3 - inner_mm**3) / (3.0 * fall)
    return sqrt((major**2 * crest_mm + inner_mm**2 * root_mm + flank) / half_mm)
