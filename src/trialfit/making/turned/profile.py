"""The shape of a turned part as straight pieces of radius along its axis, exact.

Source: plain geometry. A thread is taken at its crest where the part is drawn, at its core (of a female one: at its
major diameter) where walls are measured, and at the diameter of equal volume where metal is weighed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import radians, tan
from typing import Literal

from trialfit.making.turned.features import Inside, Outside, TurnedPart
from trialfit.making.turned.shapes import corners_mm, thread_mean_mm

ThreadAt = Literal["crest", "core", "mean"]

_SAME_MM = 1e-9


@dataclass(frozen=True)
class Piece:
    """A straight piece of a profile.

    Parameters
    ----------
    start_mm, end_mm
        Where it runs along the axis, from the left face. [mm]
    start_r_mm, end_r_mm
        Radius at either end; of a hexagon to the corners. [mm]
    name
        The feature it belongs to.
    flats_mm
        Across flats where it is a hexagon, else 0. [mm]
    """

    start_mm: float
    end_mm: float
    start_r_mm: float
    end_r_mm: float
    name: str
    flats_mm: float = 0.0

    def radius_at(self, along_mm: float) -> float:
        """Give the radius of its straight line.

        Parameters
        ----------
        along_mm
            Place along the axis. [mm]

        Returns
        -------
        float
            Radius there. [mm]
        """
        long = self.end_mm - self.start_mm
        if long <= 0.0:
            return self.start_r_mm
        return self.start_r_mm + (self.end_r_mm - self.start_r_mm) * (along_mm - self.start_mm) / long

    def cut(self, start_mm: float, end_mm: float) -> Piece:
        """Give the part of it between two places.

        Parameters
        ----------
        start_mm, end_mm
            The two places. [mm]

        Returns
        -------
        Piece
            The same line there.
        """
        return replace(
            self,
            start_mm=start_mm,
            end_mm=end_mm,
            start_r_mm=self.radius_at(start_mm),
            end_r_mm=self.radius_at(end_mm),
        )


def outer_profile(part: TurnedPart, thread_at: ThreadAt) -> tuple[Piece, ...]:
    """Give the outside.

    Parameters
    ----------
    part
        The part.
    thread_at
        Which diameter of its threads is taken.

    Returns
    -------
    tuple of Piece
        From the left face to the right one, without a gap. A hexagon stands at its corners, with its flats beside.
    """
    pieces: list[Piece] = []
    for start_mm, feature in zip(part.starts_mm, part.outside, strict=True):
        pieces += _outside(feature, start_mm, thread_at)
    return tuple(pieces)


def inner_profile(part: TurnedPart, thread_at: ThreadAt) -> tuple[Piece, ...]:
    """Give the inside: at each place the widest of what is cut there.

    Parameters
    ----------
    part
        The part.
    thread_at
        Which diameter of its threads is taken.

    Returns
    -------
    tuple of Piece
        From left to right; none where the part is solid.
    """
    cut = [piece for feature in part.inside for piece in cavity(feature, part.long_mm, thread_at)]
    return envelope(cut, max)


def cavity(feature: Inside, long_mm: float, thread_at: ThreadAt) -> tuple[Piece, ...]:
    """Give the metal one feature of the inside takes away, in the part's own places.

    Parameters
    ----------
    feature
        The feature.
    long_mm
        Length of the part. [mm]
    thread_at
        Which diameter of a thread is taken.

    Returns
    -------
    tuple of Piece
        Cut off at the part's faces.
    """
    cut = [piece for piece in _cavity(feature, long_mm, thread_at) if piece.start_mm < long_mm - _SAME_MM]
    kept = [piece.cut(piece.start_mm, min(piece.end_mm, long_mm)) for piece in cut]
    if feature.end == "right":
        kept = [
            replace(
                piece,
                start_mm=long_mm - piece.end_mm,
                end_mm=long_mm - piece.start_mm,
                start_r_mm=piece.end_r_mm,
                end_r_mm=piece.start_r_mm,
            )
            for piece in reversed(kept)
        ]
    return tuple(kept)


def envelope(pieces: Sequence[Piece], choose: Callable[..., Piece]) -> tuple[Piece, ...]:
    """Take at each place the greatest or the least of several straight pieces.

    Parameters
    ----------
    pieces
        The pieces, wherever they lie.
    choose
        ``max`` or ``min``.

    Returns
    -------
    tuple of Piece
        Broken where they begin, end and cross; neighbours of one line joined again.
    """
    cuts = sorted({*(p.start_mm for p in pieces), *(p.end_mm for p in pieces), *_crossings(pieces)})
    found: list[Piece] = []
    for start, end in pairwise(cuts):
        if end - start < _SAME_MM:
            continue
        middle = (start + end) / 2.0
        here = [piece for piece in pieces if piece.start_mm <= middle <= piece.end_mm]
        if here:
            best = choose(here, key=lambda piece: piece.radius_at(middle)).cut(start, end)
            if found and _one_line(found[-1], best):
                best = replace(best, start_mm=found[-1].start_mm, start_r_mm=found.pop().start_r_mm)
            found.append(best)
    return tuple(found)


def _outside(feature: Outside, start_mm: float, thread_at: ThreadAt) -> tuple[Piece, ...]:
    end_mm = start_mm + feature.long_mm
    left, right, flats = feature.left_mm, feature.right_mm, 0.0
    if feature.kind == "hexagon":
        flats = feature.left_mm
        left = right = corners_mm(flats)
    edges = (left, right)
    if feature.thread is not None and thread_at != "crest":
        core = feature.thread.core_mm
        left = right = core if thread_at == "core" else thread_mean_mm(feature.thread, core)
    pieces = [Piece(start_mm, end_mm, left / 2.0, right / 2.0, feature.name, flats)]
    for chamfer, edge, outward in (
        (feature.left_chamfer_mm, edges[0], True),
        (feature.right_chamfer_mm, edges[1], False),
    ):
        if chamfer > 0.0:
            near = edge / 2.0 - chamfer
            rise = (near, near + feature.long_mm) if outward else (near + feature.long_mm, near)
            pieces.append(Piece(start_mm, end_mm, *rise, feature.name, flats))
    return envelope(pieces, min) if len(pieces) > 1 else tuple(pieces)


def _cavity(feature: Inside, long_mm: float, thread_at: ThreadAt) -> list[Piece]:
    """As if worked from the left end."""
    name = feature.name
    if feature.kind == "cone":
        slope = tan(radians(feature.angle_deg / 2.0))
        radius = feature.size_mm / 2.0
        return [Piece(0.0, radius / slope, radius, 0.0, name)]
    start, end = feature.starts_mm, long_mm if feature.through else feature.deep_mm
    if feature.kind != "thread":
        return [Piece(start, end, feature.size_mm / 2.0, feature.size_mm / 2.0, name), *_point(feature, end)]
    hole_end = long_mm if feature.through else feature.hole_deep_mm
    pieces = [Piece(0.0, hole_end, feature.hole_mm / 2.0, feature.hole_mm / 2.0, name), *_point(feature, hole_end)]
    if thread_at != "crest" and feature.thread is not None:
        mean_mm = thread_mean_mm(feature.thread, feature.hole_mm)
        radius = (feature.thread.major_mm if thread_at == "core" else mean_mm) / 2.0
        pieces.append(Piece(0.0, min(end, hole_end), radius, radius, name))
    return pieces


def _point(feature: Inside, end_mm: float) -> list[Piece]:
    long, radius = feature.point_mm, (feature.hole_mm or feature.size_mm) / 2.0
    return [Piece(end_mm, end_mm + long, radius, 0.0, feature.name)] if long > 0.0 else []


def _crossings(pieces: Sequence[Piece]) -> list[float]:
    found = []
    for place, one in enumerate(pieces):
        for other in pieces[place + 1 :]:
            start, end = max(one.start_mm, other.start_mm), min(one.end_mm, other.end_mm)
            if end - start < _SAME_MM:
                continue
            at_start = one.radius_at(start) - other.radius_at(start)
            at_end = one.radius_at(end) - other.radius_at(end)
            if at_start * at_end < 0.0:
                found.append(start + (end - start) * at_start / (at_start - at_end))
    return found


def _one_line(one: Piece, other: Piece) -> bool:
    if one.name != other.name or one.flats_mm != other.flats_mm or abs(one.end_mm - other.start_mm) > _SAME_MM:
        return False
    slope = (one.end_r_mm - one.start_r_mm) / (one.end_mm - one.start_mm)
    meets = abs(one.end_r_mm - other.start_r_mm) < _SAME_MM
    return meets and abs(other.end_r_mm - other.start_r_mm - slope * (other.end_mm - other.start_mm)) < _SAME_MM
