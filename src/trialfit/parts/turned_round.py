"""The room a solid sweeps when it is turned right round an axis, as cylinders about that axis.

A solid that lies on the axis is as good as its own sweep, but for a hexagon's corners. Any other is cut square to the
axis into slices; each becomes a cylinder as wide as the farthest of the solid that lies in it. Hollows about the axis
are filled: the room is never too small.

Source: of a convex solid between two planes square to a, the farthest in the direction u is the least, over all
numbers m, of h(u + m a) - m z, with h the solid's support and z the lower plane where m is above nought, else the
upper (Lagrange duality); any m gives no less.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, cos, pi, radians, tan

import numpy as np

from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid, farthest_mm

# Nearer to the axis than this is on it. [mm]
_ON_AXIS_MM = 1e-3
_ROUND = 48
_SLICE_MM, _SLICES_MOST = 1.0, 8
# Slices that differ by less are one. [mm]
_ALIKE_MM = 0.25
_STEEPEST_DEG, _SLOPES = 84.0, 43


def swept_round(solid: Solid, on_mm: Array, axis: Array) -> tuple[Solid, ...]:
    """Turn a solid right round an axis.

    Parameters
    ----------
    solid
        The solid; not a half space.
    on_mm
        (3,) a point on the axis. [mm]
    axis
        (3,) unit vector along it. [-]

    Returns
    -------
    tuple of Solid
        All that it sweeps lies in one of them; the solid itself where turning changes nothing.
    """
    if not isinstance(solid, Capsule | Cylinder | Hexagon) or not _is_on(solid, on_mm, axis):
        return _sliced(solid, on_mm, axis)
    if isinstance(solid, Hexagon):
        return (Cylinder(solid.start_mm, solid.end_mm, solid.flats_mm / 2 / cos(pi / 6)),)
    return (solid,)


def swept_together(solids: Sequence[Solid], on_mm: Array, axis: Array) -> tuple[Solid, ...]:
    """Turn several solids right round an axis as one body.

    Parameters
    ----------
    solids
        At least one; none a half space.
    on_mm
        (3,) a point on the axis. [mm]
    axis
        (3,) unit vector along it. [-]

    Returns
    -------
    tuple of Solid
        Cylinders one after the other along the axis; a slice with nothing in it is left out.
    """
    spans = [_span_mm(solid, on_mm, axis) for solid in solids]
    cuts = _cuts(min(low for low, _ in spans), max(high for _, high in spans), 2 * _SLICES_MOST)
    radii = np.zeros(len(cuts) - 1)
    for solid, (low, high) in zip(solids, spans, strict=True):
        within = (cuts[1:] > low) & (cuts[:-1] < high)
        radii = np.where(within, np.maximum(radii, _radii_mm(solid, on_mm, axis, cuts)), radii)
    return _merged(cuts, radii, on_mm, axis)


def farthest_from_mm(solid: Solid, at_mm: Array) -> float:
    """How far a solid reaches from a point, whichever way it is turned about it.

    Parameters
    ----------
    solid
        The solid; not a half space.
    at_mm
        (3,) the point. [mm]

    Returns
    -------
    float
        Never too little. [mm]

    Source
    ------
    The farthest point of a convex solid is a corner or on the rim of an end.
    """
    if isinstance(solid, Box):
        signs = np.array(np.meshgrid([-1, 1], [-1, 1], [-1, 1])).reshape(3, 8).T
        corners = solid.middle_mm + (signs * solid.halves_mm) @ solid.axes
        return float(np.linalg.norm(corners - at_mm, axis=1).max())
    if isinstance(solid, HalfSpace):
        raise ValueError("a half space has no farthest point")
    ends = np.linalg.norm(np.array([solid.start_mm, solid.end_mm]) - at_mm, axis=1)
    if isinstance(solid, Capsule):
        return float(ends.max()) + solid.radius_mm
    radius = solid.radius_mm if isinstance(solid, Cylinder) else solid.flats_mm / 2 / cos(pi / 6)
    along = solid.end_mm - solid.start_mm
    axis = along / np.linalg.norm(along)
    rest = np.array([solid.start_mm, solid.end_mm]) - at_mm
    height = rest @ axis
    across = np.linalg.norm(rest - height[:, None] * axis, axis=1) + radius
    return float(np.hypot(height, across).max())


def _is_on(solid: Capsule | Cylinder | Hexagon, on_mm: Array, axis: Array) -> bool:
    ends = np.array([solid.start_mm, solid.end_mm]) - on_mm
    return bool(np.linalg.norm(np.cross(ends, axis), axis=1).max() < _ON_AXIS_MM)


def _sliced(solid: Solid, on_mm: Array, axis: Array) -> tuple[Solid, ...]:
    cuts = _cuts(*_span_mm(solid, on_mm, axis), _SLICES_MOST)
    return _merged(cuts, _radii_mm(solid, on_mm, axis, cuts), on_mm, axis)


def _span_mm(solid: Solid, on_mm: Array, axis: Array) -> tuple[float, float]:
    """How far a solid reaches along the axis, from its lowest to its highest."""
    low, high = (float((farthest_mm(solid, sign * axis[None])[0] - on_mm) @ axis) for sign in (-1.0, 1.0))
    return low, high


def _cuts(low: float, high: float, most: int) -> Array:
    return np.linspace(low, high, min(max(ceil((high - low) / _SLICE_MM), 1), most) + 1)


def _merged(cuts: Array, radii: Array, on_mm: Array, axis: Array) -> tuple[Solid, ...]:
    """Cylinders of so many radii, those alike in one."""
    slices: list[tuple[float, float, float]] = []
    for start, end, radius in zip(cuts[:-1].tolist(), cuts[1:].tolist(), radii.tolist(), strict=True):
        if slices and abs(radius - slices[-1][2]) < _ALIKE_MM:
            start, radius = slices[-1][0], max(slices.pop()[2], radius)
        slices.append((start, end, radius))
    return tuple(
        Cylinder(on_mm + start * axis, on_mm + end * axis, radius) for start, end, radius in slices if radius > 0
    )


def _radii_mm(solid: Solid, on_mm: Array, axis: Array, cuts: Array) -> Array:
    """How far from the axis a solid reaches in each slice; never too little."""
    one = np.eye(3)[int(np.argmin(np.abs(axis)))]
    one = one - axis * float(one @ axis)
    one = one / np.linalg.norm(one)
    angles = 2 * pi * np.arange(_ROUND) / _ROUND
    out = np.cos(angles)[:, None] * one + np.sin(angles)[:, None] * np.cross(axis, one)
    slopes = np.tan(np.radians(np.linspace(-_STEEPEST_DEG, _STEEPEST_DEG, _SLOPES)))
    slopes = np.concatenate([slopes, _own_slopes(solid, axis)])
    ways = (out[:, None] + slopes[:, None] * axis).reshape(-1, 3)
    support = np.sum((farthest_mm(solid, ways) - on_mm) * ways, axis=1).reshape(_ROUND, -1)
    floors = np.where(slopes >= 0, cuts[:-1, None], cuts[1:, None])
    reach = (support[None] - (slopes * floors)[:, None]).min(axis=2).max(axis=1)
    return np.asarray(reach / cos(pi / _ROUND))


def _own_slopes(solid: Solid, axis: Array) -> Array:
    """The slopes along a rod that leans: with them its slices hug it."""
    if isinstance(solid, Box | HalfSpace):
        return np.zeros(0)
    along = solid.end_mm - solid.start_mm
    high = float(along @ axis)
    out = float(np.linalg.norm(along - high * axis))
    return np.array([out / high, -out / high]) if abs(high) * tan(radians(_STEEPEST_DEG)) > out else np.zeros(0)
