"""Where to begin: cameras and points from nothing but what was marked.

Photographs that show the card are placed by it; points seen from two placed photographs are crossed; further
photographs are placed by those points; and where only one photograph shows the card, a second is placed against it
by the points the two share. Wrong marks are outvoted at each step, not averaged in.

Source: Collins & Bartoli (2014) for the pose from a plane, Gao et al. (2003) inside RANSAC (Fischler & Bolles 1981)
for the pose from points, Nister (2004) for two photographs, all as OpenCV carries them; crossing of rays by least
squares.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Fault, Refusals
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import LENS_SIZE, straighten, turn

Array = NDArray[np.float64]
Pose = tuple[Array, Array]

_FEWEST_CORNERS = 6
_FEWEST_POINTS = 4
_FEWEST_SHARED = 6
_NEAR_PX = 25.0
_STRICT_PX = 5.0
_WIDE_DEG = 30.0
_LEAST_CROSSING_DEG = 1.5
_UNKNOWN_FOCAL = 0.2
_FOCAL_TRIALS = np.geomspace(0.5, 2.5, 25)


@dataclass(frozen=True)
class Start:
    """Where the adjustment begins.

    Parameters
    ----------
    state
        Rough values.
    crossed
        For each point, whether its rays cross well enough to fix it, or it was known beforehand.
    """

    state: State
    crossed: tuple[bool, ...]


def start_of(problem: Problem, names: tuple[str, ...] = ()) -> Start:
    """Find values near enough for the adjustment to take over.

    Parameters
    ----------
    problem
        What was observed.
    names
        Names of the photographs, for the refusal.

    Returns
    -------
    Start
        Rough values; points that cannot be crossed stand at the origin.

    Raises
    ------
    Refusal
        A photograph shows too little to be placed.
    """
    focal = np.array([_focal(problem, lens) for lens in range(problem.lens_count)])
    trial = _Trial(problem, focal)
    for photograph in range(problem.photograph_count):
        trial.place_by_card(photograph)
    while trial.grow():
        pass
    missing = [p for p in range(problem.photograph_count) if p not in trial.poses]
    if missing:
        raise Refusals([trial.why_not(p, names[p] if names else str(p)) for p in missing])
    poses = [trial.poses[p] for p in range(problem.photograph_count)]
    lenses = np.zeros((problem.lens_count, LENS_SIZE))
    lenses[:, 0] = np.log(focal / problem.focal_start_px)
    points = np.zeros((problem.point_count, 3))
    for point, place in trial.places.items():
        points[point] = place
    state = State(
        np.array([rotation for rotation, _ in poses]).reshape(-1, 3, 3),
        np.array([translation for _, translation in poses]).reshape(-1, 3),
        np.zeros((problem.photograph_count, 3)),
        lenses,
        np.zeros(5),
        points,
    )
    return Start(state, tuple(point in trial.places for point in range(problem.point_count)))


def crossing_deg(directions: Array) -> float:
    """Widest angle between any two rays.

    Parameters
    ----------
    directions
        (r, 3) unit vectors. [-]

    Returns
    -------
    float
        The angle; 0 for a single ray. [deg]
    """
    if len(directions) < 2:
        return 0.0
    cosines = np.clip(directions @ directions.T, -1.0, 1.0)
    return float(np.degrees(np.arccos(cosines.min())))


class _Trial:
    """Grows from one placed photograph to all of them."""

    def __init__(self, problem: Problem, focal: Array) -> None:
        self.problem = problem
        lens = problem.lens_of_photograph[problem.mark_photograph]
        self.focal_px = focal[problem.lens_of_photograph]
        none = np.zeros((len(lens), 5))
        self.flat = straighten(problem.mark_px, focal[lens], problem.centre_start_px[lens], none)
        card_lens = problem.lens_of_photograph[problem.card_photograph]
        self.card_flat = straighten(
            problem.card_px, focal[card_lens], problem.centre_start_px[card_lens], np.zeros((len(card_lens), 5))
        )
        self.poses: dict[int, Pose] = {}
        self.places: dict[int, Array] = dict(zip(problem.known_point.tolist(), problem.known_mm, strict=True))
        self.known = frozenset(self.places)

    def place_by_card(self, photograph: int) -> None:
        """Place a photograph by the corners of the card, if it shows enough of them."""
        seen = self.problem.card_photograph == photograph
        xy = self.problem.card_xy_mm[seen]
        if len(xy) < _FEWEST_CORNERS or np.linalg.matrix_rank(xy - xy.mean(axis=0), tol=1.0) < 2:
            return
        flat_card = np.column_stack([xy, np.zeros(len(xy))])
        pose = _pose_from_plane(flat_card, self.card_flat[seen])
        if pose is not None:
            self.poses[photograph] = pose

    def grow(self) -> bool:
        """Cross rays and place photographs once; whether anything new came of it."""
        before = (len(self.poses), len(self.places))
        for point in range(self.problem.point_count):
            if point not in self.known:
                self._cross(point)
        for photograph in range(self.problem.photograph_count):
            if photograph not in self.poses:
                self._place_by_points(photograph)
        if (len(self.poses), len(self.places)) == before and self.poses:
            self._place_beside_another()
        return (len(self.poses), len(self.places)) != before

    def _cross(self, point: int) -> None:
        rows = [
            row for row in np.flatnonzero(self.problem.mark_point == point)
            if int(self.problem.mark_photograph[row]) in self.poses
        ]  # fmt: skip
        if len(rows) < 2:
            return
        poses = [self.poses[int(self.problem.mark_photograph[row])] for row in rows]
        rotations = np.array([pose[0] for pose in poses])
        translations = np.array([pose[1] for pose in poses])
        near = _NEAR_PX / self.focal_px[self.problem.mark_photograph[rows]]
        place = _crossed(rotations, translations, self.flat[rows], near)
        if place is not None:
            self.places[point] = place

    def _place_by_points(self, photograph: int) -> None:
        marks = np.flatnonzero(self.problem.mark_photograph == photograph)
        marks = np.array([m for m in marks if int(self.problem.mark_point[m]) in self.places], dtype=np.intp)
        seen = self.problem.card_photograph == photograph
        xy = self.problem.card_xy_mm[seen]
        solid = [
            np.column_stack([xy, np.zeros(len(xy))]),
            *[self.places[int(self.problem.mark_point[m])] for m in marks],
        ]
        flat = np.vstack([self.card_flat[seen], self.flat[marks]])
        if len(flat) < _FEWEST_POINTS:
            return
        pose = _pose_from_points(np.vstack(solid), flat, _NEAR_PX / self.focal_px[photograph])
        if pose is not None:
            self.poses[photograph] = pose

    def _place_beside_another(self) -> None:
        """Place the photograph whose view against a placed one is agreed on by most points, seen widest apart."""
        best: tuple[float, int, Pose] | None = None
        for placed in list(self.poses):
            for other in range(self.problem.photograph_count):
                rows, others = self._shared(placed, other)
                if other in self.poses or len(rows) < _FEWEST_SHARED:
                    continue
                near = _STRICT_PX / self.focal_px[other]
                found = _pose_beside(self.poses[placed], self.flat[rows], self.flat[others], near, self._range(placed))
                if found is not None and (best is None or found[0] > best[0]):
                    best = (found[0], other, found[1])
        if best is not None:
            self.poses[best[1]] = best[2]

    def _shared(self, one: int, other: int) -> tuple[list[int], list[int]]:
        marks = self.problem.mark_photograph
        first = {int(self.problem.mark_point[m]): int(m) for m in np.flatnonzero(marks == one)}
        second = {int(self.problem.mark_point[m]): int(m) for m in np.flatnonzero(marks == other)}
        both = sorted(first.keys() & second.keys())
        return [first[p] for p in both], [second[p] for p in both]

    def _range(self, photograph: int) -> float:
        """About how far the engine is from a placed photograph."""
        rotation, translation = self.poses[photograph]
        seen = self.problem.card_photograph == photograph
        if not seen.any():
            solid = np.array([self.places[p] for p in self.known])
        else:
            xy = self.problem.card_xy_mm[seen]
            solid = np.column_stack([xy, np.zeros(len(xy))])
        return float(np.median((solid @ rotation.T + translation)[:, 2]))

    def why_not(self, photograph: int, name: str) -> Fault:
        """Say why a photograph could not be placed."""
        marks = int((self.problem.mark_photograph == photograph).sum())
        corners = int((self.problem.card_photograph == photograph).sum())
        shows = f"{corners} corners of the card and {marks} marks" if corners else f"no card and {marks} marks"
        return Fault(
            f"photograph {name}", shows,
            f"the card, or marks of at least {_FEWEST_POINTS} points that other photographs fix",
            "Mark more points in it that are also marked in two other photographs, or leave this photograph out.",
        )  # fmt: skip


def _focal(problem: Problem, lens: int) -> float:
    """Focal length to begin with: the phone's own note, or the one that suits the card best."""
    noted = float(problem.focal_start_px[lens])
    photographs = np.flatnonzero(problem.lens_of_photograph == lens)
    if problem.focal_prior[lens] < _UNKNOWN_FOCAL:
        return noted
    best, best_cost = noted, np.inf
    for factor in _FOCAL_TRIALS:
        trial = replace(problem, focal_start_px=problem.focal_start_px * factor)
        rough = _Trial(trial, trial.focal_start_px)
        cost, count = 0.0, 0
        for photograph in photographs.tolist():
            rough.place_by_card(photograph)
            if photograph not in rough.poses:
                continue
            rotation, translation = rough.poses[photograph]
            seen = problem.card_photograph == photograph
            xy = problem.card_xy_mm[seen]
            camera = np.column_stack([xy, np.zeros(len(xy))]) @ rotation.T + translation
            off = (camera[:, :2] / camera[:, 2:] - rough.card_flat[seen]) * noted * factor
            cost, count = cost + float((off**2).sum()), count + len(xy)
        if count and cost / count < best_cost:
            best, best_cost = noted * float(factor), cost / count
    return best


def _pose_from_plane(solid: Array, flat: Array) -> Pose | None:
    found, turns, shifts, _ = cv2.solvePnPGeneric(solid, flat, np.eye(3), None, flags=cv2.SOLVEPNP_IPPE)
    poses = [_pose(turn_rad, shift) for turn_rad, shift in zip(turns if found else [], shifts, strict=False)]
    return min(poses, key=lambda pose: _misfit(pose, solid, flat), default=None)


def _pose_from_points(solid: Array, flat: Array, near: float) -> Pose | None:
    found, turn_rad, shift, inliers = cv2.solvePnPRansac(
        solid, flat, np.eye(3), None, iterationsCount=300, reprojectionError=near, flags=cv2.SOLVEPNP_AP3P
    )
    if not found or inliers is None or len(inliers) < _FEWEST_POINTS:
        return None
    kept = inliers.ravel()
    turn_rad, shift = cv2.solvePnPRefineLM(solid[kept], flat[kept], np.eye(3), None, turn_rad, shift)
    return _pose(turn_rad, shift)


def _pose(turn_rad: object, shift: object) -> Pose:
    vector = np.asarray(turn_rad, dtype=np.float64).reshape(1, 3)
    return turn(vector)[0], np.asarray(shift, dtype=np.float64).ravel()


def _pose_beside(placed: Pose, flat: Array, other: Array, near: float, range_mm: float) -> tuple[float, Pose] | None:
    """Pose of a second photograph from the points it shares with a placed one, sized by the range to the engine.

    The first of the two returned is how far to trust it: points that agree, times how widely their rays cross.
    """
    essential, kept = cv2.findEssentialMat(flat, other, np.eye(3), cv2.RANSAC, 0.999, near, 1000)
    if essential is None or essential.shape != (3, 3):
        return None
    count, rotation, shift, _ = cv2.recoverPose(essential, flat, other, np.eye(3), mask=kept)
    if count < _FEWEST_SHARED - 1:
        return None
    kept_rows = kept.ravel().astype(bool)
    depths, crossings = [], []
    for one, two in zip(flat[kept_rows], other[kept_rows], strict=True):
        ray, seen = rotation @ np.append(one, 1.0), np.append(two, 1.0)
        depths.append(np.linalg.lstsq(np.column_stack([ray, -seen]), -shift.ravel(), rcond=None)[0][0])
        crossings.append(crossing_deg(np.stack([ray / np.linalg.norm(ray), seen / np.linalg.norm(seen)])))
    size = range_mm / float(np.median(depths))
    first_rotation, first_shift = placed
    pose = (rotation @ first_rotation, rotation @ first_shift + size * shift.ravel())
    return count * min(float(np.median(crossings)), _WIDE_DEG), pose


def _misfit(pose: Pose, solid: Array, flat: Array) -> float:
    camera = solid @ pose[0].T + pose[1]
    if (camera[:, 2] <= 0).any():
        return float("inf")
    return float(((camera[:, :2] / camera[:, 2:] - flat) ** 2).sum())


def _crossed(rotations: Array, translations: Array, flat: Array, near: Array) -> Array | None:
    """Where rays cross, by the pair that most others agree with, then by all that agree."""
    homogeneous = np.column_stack([flat, np.ones(len(flat))])
    directions = np.einsum("rji,rj->ri", rotations, homogeneous)
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    eyes = -np.einsum("rji,rj->ri", rotations, translations)
    if crossing_deg(directions) < _LEAST_CROSSING_DEG:
        return None
    across = np.eye(3) - directions[:, :, None] * directions[:, None, :]
    weighted = (across @ eyes[:, :, None])[:, :, 0]
    first, second = np.array(list(combinations(range(len(flat)), 2))).T
    wide = np.abs(np.einsum("pi,pi->p", directions[first], directions[second])) < np.cos(np.radians(1.0))
    first, second = first[wide], second[wide]
    if not len(first):
        return None
    places = np.linalg.solve(across[first] + across[second], (weighted[first] + weighted[second])[:, :, None])[:, :, 0]
    camera = np.einsum("rij,pj->pri", rotations, places) + translations
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.linalg.norm(camera[:, :, :2] / camera[:, :, 2:] - flat, axis=2)
    off = np.where(camera[:, :, 2] > 0, off, np.inf)
    agreed = off < near
    score = agreed.sum(axis=1) - np.where(agreed, off / near, 0.0).sum(axis=1) / len(flat)
    best = int(np.argmax(score))
    kept = agreed[best]
    if kept.sum() < 2:
        return None
    place: Array = np.linalg.solve(across[kept].sum(axis=0), weighted[kept].sum(axis=0))
    return place
