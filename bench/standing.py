"""Parts put in place: the demo's against scipy on the same rows, and their overlaps against Manifold's volumes."""

from __future__ import annotations

from itertools import combinations

import manifold3d
import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from backhead import folder, survey
from bench.clock import Row, least_ms
from trialfit.fitup.in_place import without_pipes
from trialfit.fitup.overlaps import overlaps
from trialfit.fitup.place_adjust import adjusted
from trialfit.fitup.place_gather import gathered
from trialfit.fitup.place_start import first_places
from trialfit.parts.build import build_parts
from trialfit.parts.placement import Array, Placement
from trialfit.parts.solids import Box, Capsule, Solid


def rows() -> list[Row]:
    """Time the demo's parts put in place, and what stands in another's room.

    Returns
    -------
    list of Row
        Ours and the alternatives, on the same rows and the same pairs of pieces.
    """
    job, parts = folder().job, build_parts(folder().job)
    stood = without_pipes(job, parts, survey())
    told = gathered(job, parts, stood.envelopes, survey(), stood.bodies)
    figures = dict(zip(told.names, told.figures, strict=True))
    first = first_places(told.ties, figures, tuple(stood.envelopes), set(stood.envelopes))

    def ours() -> object:
        return adjusted(told.ties, first, told.names, told.figures, told.covariance)

    def theirs() -> object:
        return least_squares(_rows, np.zeros(6 * len(first)), args=(told.ties, first, figures), method="trf")

    meshes = [_mesh(piece.solid) for thing in stood.scene.things for piece in thing.pieces]
    return [
        Row("the demo's bodies and 11 parts in place, findings and all: trialfit", least_ms(
            lambda: without_pipes(job, parts, survey()))),
        Row("adjusting them: trialfit, the survey's covariance and every tie's test included", least_ms(ours)),
        Row("adjusting them: scipy on the same rows, numeric slopes", least_ms(theirs, 2), "each row by itself"),
        Row("who stands in whose room: trialfit", least_ms(
            lambda: overlaps(job, stood.scene, stood.joints, stood.envelopes))),
        Row("volumes of intersection, every pair of pieces: Manifold", least_ms(
            lambda: [(a ^ b).volume() for a, b in combinations(meshes, 2)], 1), "24 facets to the circle"),
    ]  # fmt: skip


def _rows(steps: Array, ties: tuple, first: dict[str, Placement], figures: dict[str, Array]) -> Array:  # type: ignore[type-arg]
    places = {}
    for (part, place), step in zip(first.items(), steps.reshape(-1, 6), strict=True):
        turn = Rotation.from_rotvec(step[3:]).as_matrix() @ place.turn
        places[part] = Placement(part, "job", turn, place.shift_mm + step[:3])
    found = [tie.rows(places, figures) for tie in ties]
    return np.concatenate([each.off / np.hypot(each.own_sigma, 0.1) for each in found])


def _mesh(solid: Solid) -> manifold3d.Manifold:
    if isinstance(solid, Box):
        cube = manifold3d.Manifold.cube(tuple(2 * solid.halves_mm), True)
        return cube.transform(np.column_stack([solid.axes.T, solid.middle_mm]))
    along = solid.end_mm - solid.start_mm  # type: ignore[union-attr]
    long = float(np.linalg.norm(along))
    x = np.linalg.svd(along[None])[2][1]
    turn = np.column_stack([x, np.cross(along / long, x), along / long])
    radius = solid.radius_mm if not hasattr(solid, "flats_mm") else solid.flats_mm / 3**0.5  # type: ignore[union-attr]
    if isinstance(solid, Capsule):
        balls = [manifold3d.Manifold.sphere(radius, 24).translate((0, 0, end)) for end in (0.0, long)]
        made = manifold3d.Manifold.batch_hull(balls)
    else:
        made = manifold3d.Manifold.cylinder(long, radius, circular_segments=24)
    return made.transform(np.column_stack([turn, solid.start_mm]))  # type: ignore[union-attr]
