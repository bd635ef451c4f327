"""How much metal a turned part holds.

Source: volume of a frustum, of a hexagonal prism, of one cylinder crossing another; plain geometry. Threads count at
the diameter of equal volume.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import acos, asin, cos, pi, sin, sqrt

import numpy as np

from trialfit.making.turned.features import Across, TurnedPart
from trialfit.making.turned.profile import Piece, inner_profile, outer_profile
from trialfit.making.turned.shapes import hexagon_area_mm2

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(24)


def volume_mm3(part: TurnedPart) -> float:
    """Volume of metal in the finished part.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    float
        Hexagons as hexagons, cross holes taken off. [mm³]
    """
    outer, inner = outer_profile(part, "mean"), inner_profile(part, "mean")
    whole = sum(piece_volume_mm3(piece) for piece in outer) - sum(piece_volume_mm3(piece) for piece in inner)
    return whole - sum(across_volume_mm3(hole, outer, inner) for hole in part.across)


def mass_g(part: TurnedPart) -> float:
    """Mass of the finished part.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    float
        Volume times the metal's density as printed. [g]
    """
    return volume_mm3(part) * part.metal.density_kg_m3 * 1e-6


def piece_volume_mm3(piece: Piece) -> float:
    """Volume of one straight piece.

    Parameters
    ----------
    piece
        A cylinder, a frustum, or a hexagon with the cone that chamfers it.

    Returns
    -------
    float
        Volume. [mm³]
    """
    long, a, b = piece.end_mm - piece.start_mm, piece.start_r_mm, piece.end_r_mm
    if piece.flats_mm == 0.0:
        return pi / 3.0 * long * (a * a + a * b + b * b)
    if abs(a - b) < 1e-9:
        return long * hexagon_in_circle_mm2(piece.flats_mm, a)
    radii = (a + b) / 2.0 + (b - a) / 2.0 * _POINTS
    areas = [hexagon_in_circle_mm2(piece.flats_mm, float(radius)) for radius in radii]
    return long / 2.0 * float(np.dot(_WEIGHTS, areas))


def hexagon_in_circle_mm2(across_flats_mm: float, radius_mm: float) -> float:
    """Area that a hexagon and a circle about its middle share.

    Parameters
    ----------
    across_flats_mm
        Across flats. [mm]
    radius_mm
        Radius of the circle. [mm]

    Returns
    -------
    float
        Area. [mm²]
    """
    flat = across_flats_mm / 2.0
    if radius_mm <= flat:
        return pi * radius_mm**2
    half_deg = acos(flat / radius_mm)
    if half_deg >= pi / 6.0:
        return hexagon_area_mm2(across_flats_mm)
    return 6.0 * (flat * sqrt(radius_mm**2 - flat**2) + radius_mm**2 * (pi / 6.0 - half_deg))


def across_volume_mm3(hole: Across, outer: Sequence[Piece], inner: Sequence[Piece]) -> float:
    """Volume of metal a cross hole takes.

    Parameters
    ----------
    hole
        The hole.
    outer, inner
        The part's profiles.

    Returns
    -------
    float
        From the outside to the bore, or to the axis where there is none; twice that through both walls. [mm³]
    """
    radius = hole.hole_mm / 2.0
    left, right = hole.at_mm - radius, hole.at_mm + radius
    ends = {piece_end for p in (*outer, *inner) for piece_end in (p.start_mm, p.end_mm) if left < piece_end < right}
    cuts = [left, *sorted(ends), right]
    wall = sum(_slice(radius, hole.at_mm, a, b, outer, inner) for a, b in pairwise(cuts))
    return 2.0 * wall if hole.both else wall


def _slice(
    radius: float, at_mm: float, start_mm: float, end_mm: float, outer: Sequence[Piece], inner: Sequence[Piece]
) -> float:
    """Gauss' rule twice by the sine of an angle, along the axis and across the hole: smooth up to its rim."""
    total = 0.0
    middle = (start_mm + end_mm) / 2.0
    first, last = (asin(max(-1.0, min(1.0, (end - at_mm) / radius))) for end in (start_mm, end_mm))
    outside, inside = _covering(outer, middle), _covering(inner, middle)
    if outside is None:
        return 0.0
    angles = (first + last) / 2.0 + (last - first) / 2.0 * _POINTS
    for angle, weight in zip(angles, _WEIGHTS, strict=True):
        along, wide = at_mm + radius * sin(angle), radius * cos(angle)
        turns = pi / 2.0 * _POINTS
        across = wide * np.sin(turns)
        flat = outside.flats_mm / 2.0
        out = outside.radius_at(along)
        height = np.full_like(across, flat) if flat else np.sqrt(np.maximum(out**2 - across**2, 0.0))
        if inside is not None:
            height = height - np.minimum(np.sqrt(np.maximum(inside.radius_at(along) ** 2 - across**2, 0.0)), height)
        step = (last - first) / 2.0 * weight * wide
        total += step * float(np.dot(_WEIGHTS * pi / 2.0 * wide * np.cos(turns), height))
    return float(total)


def _covering(pieces: Sequence[Piece], along_mm: float) -> Piece | None:
    return next((piece for piece in pieces if piece.start_mm <= along_mm <= piece.end_mm), None)
