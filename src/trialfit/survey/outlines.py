"""Outlines as observations: edges of tubes and rims of round faces, by index, and the values they are solved for.

A tube is a chain of straight legs with a bend between each two: its vertices are where the legs would cross, its ends
merely mark how far it was looked at and slide along it. A rim is a circle about one of the survey's points.

Source: the parts of a pipe as `docs/methods/edges_and_rims.md` names them.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import FREE, HELD

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]


def _none() -> Array:
    return np.zeros(0)


def _no_indices() -> Indices:
    return np.zeros(0, dtype=np.intp)


@dataclass(frozen=True)
class Outlines:
    """Everything observed of tubes and rims, by index.

    Parameters
    ----------
    tube_bends
        (t,) how many bends each tube has; it has one leg more. [-]
    od_mm, od_sigma_mm
        (t,) outside diameter and one standard deviation of it. [mm]
    bend_radius_mm, bend_radius_sigma_mm
        (t,) centre-line radius of the bends and one standard deviation of it; `FREE` where the bends themselves are
        marked and nothing else is known, `HELD` where nothing depends on it. [mm]
    rim_centre
        (r,) the point in the middle of each rim. [-]
    rim_radius_mm, rim_radius_sigma_mm
        (r,) radius and one standard deviation of it, `FREE` where it was not measured. [mm]
    edge_photograph, edge_tube, edge_piece, edge_side
        (e,) marks on edges: photograph, tube, which piece of the tube (0 the first leg, 1 the first bend, 2 the second
        leg ...), and on which side of it (+1 or -1; 0 not yet known). [-]
    edge_px, edge_sigma_px
        (e, 2), (e,) where. [px]
    edge_number, arc_number
        (e,), (k,) place of each mark among all marks on edges, or rims, of the job; none where nobody asks. [-]
    arc_photograph, arc_rim
        (k,) marks on rims: photograph and rim. [-]
    arc_px, arc_sigma_px
        (k, 2), (k,) where. [px]
    on_point, on_axis, on_sigma_mm
        (a,) points that lie on an axis: the point, the axis as `axis_count` counts them, and one standard deviation
        of how far off the axis it may lie in each direction across it. [-] [mm]
    outside_sigma_px
        One standard deviation of how far outside an edge, and outside a rim, this hand marks on average. [px]
    """

    tube_bends: Indices = field(default_factory=_no_indices)
    od_mm: Array = field(default_factory=_none)
    od_sigma_mm: Array = field(default_factory=_none)
    bend_radius_mm: Array = field(default_factory=_none)
    bend_radius_sigma_mm: Array = field(default_factory=_none)
    rim_centre: Indices = field(default_factory=_no_indices)
    rim_radius_mm: Array = field(default_factory=_none)
    rim_radius_sigma_mm: Array = field(default_factory=_none)
    edge_photograph: Indices = field(default_factory=_no_indices)
    edge_tube: Indices = field(default_factory=_no_indices)
    edge_piece: Indices = field(default_factory=_no_indices)
    edge_side: Array = field(default_factory=_none)
    edge_px: Array = field(default_factory=lambda: np.zeros((0, 2)))
    edge_sigma_px: Array = field(default_factory=_none)
    edge_number: Indices = field(default_factory=_no_indices)
    arc_photograph: Indices = field(default_factory=_no_indices)
    arc_rim: Indices = field(default_factory=_no_indices)
    arc_px: Array = field(default_factory=lambda: np.zeros((0, 2)))
    arc_sigma_px: Array = field(default_factory=_none)
    arc_number: Indices = field(default_factory=_no_indices)
    on_point: Indices = field(default_factory=_no_indices)
    on_axis: Indices = field(default_factory=_no_indices)
    on_sigma_mm: Array = field(default_factory=_none)
    outside_sigma_px: float = 0.5

    @property
    def tube_count(self) -> int:
        """How many tubes there are. [-]"""
        return len(self.tube_bends)

    @property
    def rim_count(self) -> int:
        """How many rims there are. [-]"""
        return len(self.rim_centre)

    @cached_property
    def first_vertex(self) -> Indices:
        """(t + 1,) place of each tube's first vertex among all vertices; the last is their number."""
        return np.concatenate([[0], np.cumsum(self.tube_bends + 2)]).astype(np.intp)

    @cached_property
    def first_leg(self) -> Indices:
        """(t + 1,) place of each tube's first leg among all legs; the last is their number."""
        return np.concatenate([[0], np.cumsum(self.tube_bends + 1)]).astype(np.intp)

    @property
    def leg_count(self) -> int:
        """How many legs all tubes have. [-]"""
        return int(self.first_leg[-1])

    @property
    def axis_count(self) -> int:
        """How many axes there are: all legs, tube after tube, then all rims. [-]"""
        return self.leg_count + self.rim_count

    @cached_property
    def leg_vertex(self) -> Indices:
        """(legs,) the vertex each leg starts from; it runs to the next."""
        legs = [np.arange(bends + 1) + first for bends, first in zip(self.tube_bends, self.first_vertex, strict=False)]
        return np.concatenate([_no_indices(), *legs]).astype(np.intp)

    @property
    def mark_count(self) -> int:
        """How many marks lie on edges and rims. [-]"""
        return len(self.edge_px) + len(self.arc_px)

    @property
    def observation_count(self) -> int:
        """Marks, axes through points, and beliefs, counted as observations. [-]"""
        beliefs = np.concatenate([self.od_sigma_mm, self.bend_radius_sigma_mm, self.rim_radius_sigma_mm])
        believed = int(((beliefs != HELD) & (beliefs != FREE)).sum())
        return self.mark_count + 2 * len(self.on_point) + (2 + believed if self.axis_count else 0)


def with_marks(outlines: Outlines, edges: Flags, arcs: Flags) -> Outlines:
    """The same tubes and rims with some of their marks.

    Parameters
    ----------
    outlines
        With all their marks.
    edges, arcs
        (e,), (k,) which to keep.

    Returns
    -------
    Outlines
        With those.
    """
    return replace(
        outlines,
        edge_photograph=outlines.edge_photograph[edges],
        edge_tube=outlines.edge_tube[edges],
        edge_piece=outlines.edge_piece[edges],
        edge_side=outlines.edge_side[edges],
        edge_px=outlines.edge_px[edges],
        edge_sigma_px=outlines.edge_sigma_px[edges],
        edge_number=outlines.edge_number[edges] if len(outlines.edge_number) else outlines.edge_number,
        arc_photograph=outlines.arc_photograph[arcs],
        arc_rim=outlines.arc_rim[arcs],
        arc_px=outlines.arc_px[arcs],
        arc_sigma_px=outlines.arc_sigma_px[arcs],
        arc_number=outlines.arc_number[arcs] if len(outlines.arc_number) else outlines.arc_number,
    )


@dataclass(frozen=True)
class Outlined:
    """One set of values for what the outlines are solved for.

    Parameters
    ----------
    outside_px
        (2,) how far outside the edges, and outside the rims, this hand marks. [px]
    vertices_mm
        (v, 3) the tubes' vertices, tube after tube, in the job frame. [mm]
    od_mm, bend_radius_mm
        (t,) outside diameters and centre-line radii. [mm]
    normals
        (r, 3) unit normals of the rims' planes. [-]
    rim_radius_mm
        (r,) radii of the rims. [mm]
    """

    outside_px: Array = field(default_factory=lambda: np.zeros(2))
    vertices_mm: Array = field(default_factory=lambda: np.zeros((0, 3)))
    od_mm: Array = field(default_factory=_none)
    bend_radius_mm: Array = field(default_factory=_none)
    normals: Array = field(default_factory=lambda: np.zeros((0, 3)))
    rim_radius_mm: Array = field(default_factory=_none)


def leg_directions(outlines: Outlines, vertices_mm: Array) -> tuple[Array, Array]:
    """Which way each leg runs.

    Parameters
    ----------
    outlines
        What was observed.
    vertices_mm
        (v, 3) the vertices. [mm]

    Returns
    -------
    tuple
        (legs, 3) unit vectors from each leg's first vertex to its second [-], and (legs,) their distance [mm].
    """
    run = vertices_mm[outlines.leg_vertex + 1] - vertices_mm[outlines.leg_vertex]
    length = np.linalg.norm(run, axis=1)
    return run / length[:, None], length
