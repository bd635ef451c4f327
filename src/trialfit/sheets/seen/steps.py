"""A picture of each step: what moves in strong contrast with an arrow, on the owner's photograph where one shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.scene import Scene, Thing
from trialfit.parts.placement import Array
from trialfit.parts.solids import HalfSpace
from trialfit.sheets.seen.eye import Eye, eye_of, framed, where_one_stands
from trialfit.sheets.seen.gathered import Laid, new_pipe_mesh, thing_mesh
from trialfit.sheets.seen.meshes import Mesh, joined
from trialfit.sheets.seen.motion import Motion, drawn_apart_mm, motion_arrows, trail
from trialfit.sheets.seen.over import cut_round, drawn_over, scaled_photograph, share_in_sight
from trialfit.sheets.seen.picture import Shown, Weight, jpeg, picture_of, png, share_seen
from trialfit.survey.records import Survey

SIZE_PX = (760, 570)
_SMALL_PX = (120, 90)
# Round what moves, what stands near it is shown as far as this many of its own sizes, and never less than this.
_ROUND, _LEAST_MM = 1.1, 26.0
_WELL_SEEN, _ACROSS = 0.55, 0.45
# Smaller than this on a photograph, or more of it hidden, one recognises nothing.
_LEAST_PX, _LEAST_SHARE = 60.0, 0.6
# Share of a photograph's own darkness that is kept.
_KEPT = 0.65


@dataclass(frozen=True, eq=False)
class SeenStep:
    """One step as it is drawn.

    Parameters
    ----------
    number
        Its number on the sheet. [-]
    moving
        Names of the things that move.
    motions
        How they come off, the one nearest to their place first, whichever way the step goes.
    there
        Names of the other things that stand there meanwhile.
    on
        Whether they are put on, or taken off.
    """

    number: int
    moving: tuple[str, ...]
    motions: tuple[Motion, ...]
    there: tuple[str, ...]
    on: bool


class Stage:
    """All things of a scene as skins, made once for all steps.

    Parameters
    ----------
    plan
        The plan, for its pipes and its survey.
    scene
        What stands where.
    """

    def __init__(self, plan: Laid, scene: Scene) -> None:
        self.survey: Survey | None = plan.survey
        self.things: dict[str, Thing] = {thing.name: thing for thing in scene.things}
        new = {pipe.name: pipe for pipe in plan.pipes}
        ended = {name: thing_mesh(thing, np.zeros(3), 1.0) for name, thing in self.things.items() if _has_ends(thing)}
        parts = [name for name, thing in self.things.items() if thing.kind != "engine"]
        middle, reach_mm = _middle_and_reach([ended[name] for name in parts if name in ended])
        self.meshes: dict[str, Mesh] = {
            name: new_pipe_mesh(new[name]) if name in new
            else ended[name] if name in ended else thing_mesh(thing, middle, reach_mm)
            for name, thing in self.things.items()
        }  # fmt: skip

    def standing(self, step: SeenStep) -> list[Shown]:
        """What does not move while a step is done, drawn light.

        Parameters
        ----------
        step
            The step.

        Returns
        -------
        list of Shown
            The engine's bodies and what stands there.
        """
        names = [name for name, thing in self.things.items() if thing.kind == "engine" or name in step.there]
        return [Shown(name, self.meshes[name]) for name in names if name not in step.moving]

    def moving(self, step: SeenStep) -> Mesh:
        """What moves, in its place.

        Parameters
        ----------
        step
            The step.

        Returns
        -------
        Mesh
            All of it as one skin.
        """
        return joined(self.meshes[name] for name in step.moving if name in self.meshes)


def step_pictures(
    stage: Stage, steps: Iterable[SeenStep], photographs: Mapping[str, NDArray[np.uint8]]
) -> dict[int, bytes]:
    """Draw every step.

    Parameters
    ----------
    stage
        The things.
    steps
        The steps.
    photographs
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]

    Returns
    -------
    dict
        A JPEG where a photograph shows what moves well enough, else a PNG in space; by the step's number. A step none
        of whose things has a place has none.
    """
    made = {}
    for step in steps:
        if not len(stage.moving(step).faces):
            continue
        found = best_photograph(stage, step, photographs)
        made[step.number] = (
            png(picture_in_space(stage, step)) if found is None else jpeg(_on_photograph(stage, step, *found))
        )
    return made


def picture_in_space(stage: Stage, step: SeenStep) -> NDArray[np.uint8]:
    """Draw a step in space.

    Parameters
    ----------
    stage
        The things.
    step
        The step.

    Returns
    -------
    NDArray
        (height, width) grey. [-]
    """
    home, motion = stage.moving(step), step.motions[0]
    shift = drawn_apart_mm(motion, home)
    moved = home.moved(np.eye(3), shift)
    size_mm = _window_mm(home)
    towards, _ = where_one_stands(stage.survey, moved.corners_mm.mean(axis=0))
    arrows = motion_arrows(motion, moved, size_mm, towards, step.on)
    strong = [Shown("moving", moved, Weight.STRONG)]
    if motion.on_axis_mm is not None and float(np.linalg.norm(shift)) > 0:
        strong.append(Shown("trail", trail(motion, shift, home), Weight.PLAIN))
    shown = [*stage.standing(step), *strong, Shown("arrows", arrows, Weight.ARROW)]
    window = _window(home, joined([moved, arrows]), size_mm)
    return picture_of(shown, _eye(stage, shown[:-1], window, motion.way))


def best_photograph(
    stage: Stage, step: SeenStep, photographs: Mapping[str, NDArray[np.uint8]]
) -> tuple[NDArray[np.uint8], Eye] | None:
    """The photograph that shows best what moves.

    Parameters
    ----------
    stage
        The things.
    step
        The step.
    photographs
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]

    Returns
    -------
    tuple or None
        The photograph, (height, width) or (height, width, 3) [-], and its camera; None where none shows it whole, large
        enough, not hidden, and from the side of its motion.
    """
    mesh, best = stage.moving(step), None
    shown = [*stage.standing(step), Shown("moving", mesh)]
    for station in stage.survey.stations if stage.survey is not None else ():
        picture = photographs.get(station.photograph)
        if picture is None:
            continue
        eye = eye_of(station, (picture.shape[1], picture.shape[0]))
        if share_in_sight(mesh.corners_mm, eye) < 1.0:
            continue
        px, _ = eye.seen(mesh.corners_mm)
        long_px = float((px.max(axis=0) - px.min(axis=0)).max())
        across = _across(step.motions[0].way, eye, mesh)
        if long_px < _LEAST_PX or across < _ACROSS:
            continue
        part = _round_about(eye, px, 1.6)
        seen = share_seen(shown, "moving", part.enlarged(160.0 / max(part.size_px)))
        score = seen * across * min(long_px, 600.0)
        if seen >= _LEAST_SHARE and (best is None or score > best[0]):
            best = (score, picture, eye)
    return None if best is None else best[1:]


def _on_photograph(stage: Stage, step: SeenStep, photograph: NDArray[np.uint8], eye: Eye) -> NDArray[np.uint8]:
    mesh, motion = stage.moving(step), step.motions[0]
    size_mm = _window_mm(mesh)
    towards = eye.stands_mm - mesh.corners_mm.mean(axis=0)
    arrows = motion_arrows(motion, mesh, size_mm, towards, step.on, apart=False)
    window = _window(mesh, joined([mesh, arrows]), size_mm)
    part, near = scaled_photograph(*cut_round(photograph, eye, window, 0.04, SIZE_PX[0] / SIZE_PX[1]), SIZE_PX[0])
    # Lighter than it was taken, so that what is drawn stands out on a black and white printer too.
    paler = np.asarray(255.0 - _KEPT * (255.0 - part), dtype=np.uint8)
    return drawn_over(paler, near, [mesh], arrows=[arrows])


def _round_about(eye: Eye, px: Array, times: float) -> Eye:
    middle, half = (px.max(axis=0) + px.min(axis=0)) / 2, times * (px.max(axis=0) - px.min(axis=0)).max() / 2
    left, top = np.round(middle - half)
    return eye.enlarged(1.0, float(left), float(top)).cut((int(2 * half), int(2 * half)))


def _window_mm(mesh: Mesh) -> float:
    """How large a piece of the engine is shown. [mm]"""
    own_mm = float(np.linalg.norm(mesh.corners_mm.max(axis=0) - mesh.corners_mm.min(axis=0)))
    return max(_ROUND * own_mm, own_mm + _LEAST_MM)


def _window(home: Mesh, drawn: Mesh, size_mm: float) -> Array:
    """(n, 3) what must be in the picture: what moves, its arrows, and a ball of air round its place. [mm]"""
    middle = (home.corners_mm.max(axis=0) + home.corners_mm.min(axis=0)) / 2
    ways = np.concatenate([np.eye(3), -np.eye(3)])
    return np.concatenate([home.corners_mm, drawn.corners_mm, middle + size_mm / 2 * ways])


def _eye(stage: Stage, shown: Sequence[Shown], window: Array, way: Array) -> Eye:
    """From where one stands if the part is well seen from there, else from the best of the photographs' places."""
    at = window.mean(axis=0)
    usual, up = where_one_stands(stage.survey, at)
    stood = [usual, *_sidesteps(usual, up)]
    best: tuple[float, Array] | None = None
    for towards in stood:
        across = float(np.linalg.norm(np.cross(way, towards)))
        small = framed(window, towards, up, _SMALL_PX)
        seen = share_seen(shown, "moving", small)
        if seen >= _WELL_SEEN and across >= _ACROSS:
            return framed(window, towards, up, SIZE_PX)
        score = min(seen / _WELL_SEEN, 1.0) * min(across / _ACROSS, 1.0)
        if best is None or score > best[0] + 1e-9:
            best = (score, towards)
    assert best is not None
    return framed(window, best[1], up, SIZE_PX)


def _sidesteps(way: Array, up: Array) -> list[Array]:
    """From more to the left, to the right, above, and below."""
    side = np.cross(up, way)
    side = side / max(float(np.linalg.norm(side)), 1e-9)
    turned = [way + 0.8 * side, way - 0.8 * side, way + 0.9 * up, way - 0.5 * up, way + 1.6 * side, way - 1.6 * side]
    return [each / float(np.linalg.norm(each)) for each in turned]


def _across(way: Array, eye: Eye, mesh: Mesh) -> float:
    line = mesh.corners_mm.mean(axis=0) - eye.stands_mm
    return float(np.linalg.norm(np.cross(way, line / np.linalg.norm(line))))


def _has_ends(thing: Thing) -> bool:
    return not any(isinstance(piece.solid, HalfSpace) for piece in thing.pieces)


def _middle_and_reach(parts: Sequence[Mesh]) -> tuple[Array, float]:
    corners = joined(parts).corners_mm
    if not len(corners):
        return np.zeros(3), 100.0
    low, high = corners.min(axis=0), corners.max(axis=0)
    return (low + high) / 2, 0.7 * float(np.linalg.norm(high - low))
