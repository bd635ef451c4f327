"""STEP of pipes and turned parts as true solids, for a drawing program: an optional extra, ``trialfit[step]``.

The geometry is made by the library Open CASCADE, which is large and not needed for anything else; without it this is
refused. Source: ISO 10303-21; millimetres.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.records import PipePlan
from trialfit.making.turned.features import TurnedPart
from trialfit.making.turned.profile import Piece, inner_profile, outer_profile
from trialfit.parts.placement import Array

# Below this a straight or a radius counts as none.
_NONE_MM = 1e-6


def pipe_step(pipe: PipePlan) -> bytes:
    """Write a pipe to be made, in the job frame, with what goes into its sockets.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    bytes
        A STEP file.

    Raises
    ------
    Refusal
        The extra is not installed.
    """
    _needed()
    line = pipe.vertices_mm.copy()
    line[0] -= pipe.start.enters_mm * pipe.start.direction
    line[-1] -= pipe.end.enters_mm * pipe.end.direction
    spine = _spine(line, pipe.radius_mm)
    outside = _swept(spine, line, pipe.tube.od_mm / 2)
    bore_mm = pipe.tube.od_mm - 2 * pipe.tube.wall_mm
    made = _less(outside, _swept(spine, line, bore_mm / 2)) if bore_mm > _NONE_MM else outside
    return _written(made)


def turned_step(part: TurnedPart) -> bytes:
    """Write a turned part along z, its left face at the origin.

    Parameters
    ----------
    part
        The part; threads at the diameter of equal volume, cross holes drilled.

    Returns
    -------
    bytes
        A STEP file.

    Raises
    ------
    Refusal
        The extra is not installed.
    """
    _needed()
    made = _turned(outer_profile(part, "mean"))
    bore = [piece for piece in inner_profile(part, "mean") if max(piece.start_r_mm, piece.end_r_mm) > _NONE_MM]
    for piece in bore:
        made = _less(made, _turned((piece,)))
    long_mm = max(max(piece.start_r_mm, piece.end_r_mm) for piece in outer_profile(part, "mean")) + 1.0
    for hole in part.across:
        at = np.array([0.0, 0.0, hole.at_mm])
        start = at - (long_mm if hole.both else 0.0) * np.array([0.0, 1.0, 0.0])
        made = _less(made, _cylinder(start, np.array([0.0, 1.0, 0.0]), hole.hole_mm / 2, long_mm * (1 + hole.both)))
    return _written(made)


def _needed() -> None:
    if find_spec("OCP") is None:
        raise Refusal(
            "STEP file", "no Open CASCADE", "the extra trialfit[step]",
            "Install it with: pip install 'trialfit[step]'. glTF and DXF are written without it.",
        )  # fmt: skip


def _occ(module: str) -> Any:
    return import_module(f"OCP.{module}")


def _point(at: Array) -> Any:
    return _occ("gp").gp_Pnt(*map(float, at))


def _axes(at: Array, way: Array) -> Any:
    return _occ("gp").gp_Ax2(_point(at), _occ("gp").gp_Dir(*map(float, way)))


def _spine(line: Array, radius_mm: float) -> Any:
    """The centre line as straights and arcs."""
    wire = _occ("BRepBuilderAPI").BRepBuilderAPI_MakeWire()
    edge = _occ("BRepBuilderAPI").BRepBuilderAPI_MakeEdge
    arc = _occ("GC").GC_MakeArcOfCircle
    here = line[0]
    for before, corner, after in zip(line, line[1:], line[2:], strict=False):
        into, out = (
            (corner - before) / np.linalg.norm(corner - before),
            (after - corner) / np.linalg.norm(after - corner),
        )
        angle = float(np.arctan2(np.linalg.norm(np.cross(into, out)), into @ out))
        if angle < _NONE_MM:
            continue
        reach = radius_mm * np.tan(angle / 2)
        begins, ends = corner - reach * into, corner + reach * out
        inward = (out - into) / np.linalg.norm(out - into)
        middle = corner + (radius_mm / np.cos(angle / 2) - radius_mm) * inward
        if np.linalg.norm(begins - here) > _NONE_MM:
            wire.Add(edge(_point(here), _point(begins)).Edge())
        wire.Add(edge(arc(_point(begins), _point(middle), _point(ends)).Value()).Edge())
        here = ends
    wire.Add(edge(_point(here), _point(line[-1])).Edge())
    return wire.Wire()


def _swept(spine: Any, line: Array, radius_mm: float) -> Any:
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    circle = _occ("gp").gp_Circ(_axes(line[0], way), float(radius_mm))
    build = _occ("BRepBuilderAPI")
    ring = build.BRepBuilderAPI_MakeWire(build.BRepBuilderAPI_MakeEdge(circle).Edge()).Wire()
    return _occ("BRepOffsetAPI").BRepOffsetAPI_MakePipe(spine, build.BRepBuilderAPI_MakeFace(ring).Face()).Shape()


def _turned(pieces: Sequence[Piece]) -> Any:
    """Pieces of a profile as one solid; a hexagon is what its prism and its cone share."""
    shapes = []
    for piece in pieces:
        if piece.end_mm - piece.start_mm < _NONE_MM:
            continue
        shape = _revolved(piece)
        if piece.flats_mm:
            shape = _occ("BRepAlgoAPI").BRepAlgoAPI_Common(shape, _prism(piece)).Shape()
        shapes.append(shape)
    made = shapes[0]
    for shape in shapes[1:]:
        made = _occ("BRepAlgoAPI").BRepAlgoAPI_Fuse(made, shape).Shape()
    return made


def _revolved(piece: Piece) -> Any:
    if abs(piece.start_r_mm - piece.end_r_mm) < _NONE_MM:
        return _cylinder(
            _on_axis(piece.start_mm), np.array([0.0, 0, 1]), piece.start_r_mm, piece.end_mm - piece.start_mm
        )
    axes = _axes(_on_axis(piece.start_mm), np.array([0.0, 0, 1]))
    radii = piece.start_r_mm, piece.end_r_mm
    return _occ("BRepPrimAPI").BRepPrimAPI_MakeCone(axes, *radii, piece.end_mm - piece.start_mm).Shape()


def _cylinder(at: Array, way: Array, radius_mm: float, long_mm: float) -> Any:
    return _occ("BRepPrimAPI").BRepPrimAPI_MakeCylinder(_axes(at, way), float(radius_mm), float(long_mm)).Shape()


def _prism(piece: Piece) -> Any:
    build = _occ("BRepBuilderAPI")
    corner = piece.flats_mm / 3**0.5
    turns = np.arange(7) * np.pi / 3
    rim = np.column_stack([corner * np.cos(turns), corner * np.sin(turns), np.full(7, piece.start_mm)])
    wire = build.BRepBuilderAPI_MakeWire()
    for one, other in pairwise(rim):
        wire.Add(build.BRepBuilderAPI_MakeEdge(_point(one), _point(other)).Edge())
    up = _occ("gp").gp_Vec(0.0, 0.0, piece.end_mm - piece.start_mm)
    return _occ("BRepPrimAPI").BRepPrimAPI_MakePrism(build.BRepBuilderAPI_MakeFace(wire.Wire()).Face(), up).Shape()


def _on_axis(along_mm: float) -> Array:
    return np.array([0.0, 0.0, along_mm])


def _less(whole: Any, hole: Any) -> Any:
    return _occ("BRepAlgoAPI").BRepAlgoAPI_Cut(whole, hole).Shape()


def _written(shape: Any) -> bytes:
    control = _occ("STEPControl")
    writer = control.STEPControl_Writer()
    writer.Transfer(shape, control.STEPControl_StepModelType.STEPControl_AsIs)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.step"
        writer.Write(str(path))
        return path.read_bytes()
