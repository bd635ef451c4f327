"""How the thing that a step is about moves, and the arrows that show it."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from trialfit.fitup.vectors import square_to
from trialfit.parts.placement import Array
from trialfit.sheets.seen.meshes import Mesh, arrow_mesh, joined, tube_mesh

# Three quarters of a turn: enough to see which way, not so much that head and tail meet.
_SWEEP_DEG = 270.0
# Where its head lies, past the side that faces the eye.
_HEAD_DEG = 35.0
_LEAST_ARROW_MM = 9.0


@dataclass(frozen=True, eq=False)
class Motion:
    """One way a thing moves.

    Parameters
    ----------
    way
        (3,) unit vector it moves along, in the job frame; the axis, where it turns. [-]
    on_axis_mm
        (3,) a point its axis passes through, where it turns; None where it does not. [mm]
    turns
        Turns about `way`, right-handed; nought for a straight pull. [-]
    far_mm
        How far it moves along `way` until it is free. [mm]
    """

    way: Array
    on_axis_mm: Array | None = None
    turns: float = 0.0
    far_mm: float = 20.0

    def back(self) -> Motion:
        """The same way back: what was pulled off is pushed on, what was screwed off is screwed in."""
        return Motion(-self.way, self.on_axis_mm, self.turns, self.far_mm)


def drawn_apart_mm(motion: Motion, mesh: Mesh) -> Array:
    """How far from home a thing is drawn, so that one sees that it comes off.

    Parameters
    ----------
    motion
        How it comes off.
    mesh
        Its skin at home.

    Returns
    -------
    Array
        (3,) shift, no farther than it really goes. [mm]
    """
    span = mesh.corners_mm @ motion.way
    own_mm = float(span.max() - span.min())
    return np.asarray(min(motion.far_mm, max(0.8 * own_mm, 1.6 * _LEAST_ARROW_MM)) * motion.way)


def motion_arrows(
    motion: Motion, mesh: Mesh, size_mm: float, towards: Array, home: bool = False, apart: bool = True
) -> Mesh:
    """The arrows that show a motion.

    Parameters
    ----------
    motion
        How it moves.
    mesh
        Its skin where it is drawn.
    size_mm
        Size of what the picture shows, which the arrow's thickness goes by. [mm]
    towards
        (3,) vector to the eye; the curved arrow's head is set on that side. [-]
    home
        Whether it moves towards its place.
    apart
        Whether it is drawn away from its place: going home the arrow then leads on from it, and otherwise ends at it.

    Returns
    -------
    Mesh
        A straight arrow, with a curved one round the thing where it turns.
    """
    thick = min(max(0.016 * size_mm, 0.6), 3.5)
    way = -motion.way if home and apart else motion.way
    ahead = float((mesh.corners_mm @ way).max())
    foot = motion.on_axis_mm if motion.on_axis_mm is not None else _middle(mesh)
    start = foot + (ahead - float(foot @ way) + thick) * way
    long_mm = max(0.8 * _LEAST_ARROW_MM, 7.0 * thick)
    line = np.linspace(start, start + long_mm * way, 8)
    arrows = [] if motion.far_mm <= 0 else [arrow_mesh(line[::-1] if home and not apart else line, thick)]
    if motion.turns and motion.on_axis_mm is not None:
        sense = -motion.turns if home else motion.turns
        arrows.append(arrow_mesh(_round(motion, mesh, thick, sense, towards), thick))
    return joined(arrows)


def trail(motion: Motion, shift_mm: Array, mesh: Mesh) -> Mesh:
    """A thin line from where a thing is drawn back to its place.

    Parameters
    ----------
    motion
        How it comes off.
    shift_mm
        (3,) how far from home it is drawn. [mm]
    mesh
        Its skin at home.

    Returns
    -------
    Mesh
        A thread along its axis.
    """
    foot = motion.on_axis_mm if motion.on_axis_mm is not None else _middle(mesh)
    near = foot + (float((mesh.corners_mm @ motion.way).min()) - float(foot @ motion.way)) * motion.way
    return tube_mesh(np.array([near, near + shift_mm]), 0.15, sides=6)


def _round(motion: Motion, mesh: Mesh, thick_mm: float, turns: float, towards: Array) -> Array:
    assert motion.on_axis_mm is not None
    away = mesh.corners_mm - motion.on_axis_mm
    along = away @ motion.way
    across = away - along[:, None] * motion.way
    # A long arm must not blow the arrow up past what is worth showing.
    radius = min(float(np.linalg.norm(across, axis=1).max()) + 1.5 * thick_mm, 14.0)
    middle = motion.on_axis_mm + float(along.max() + along.min()) / 2 * motion.way
    facing = towards - towards @ motion.way * motion.way
    size = float(np.linalg.norm(facing))
    first = facing / size if size > 1e-6 else square_to(motion.way)
    second = np.cross(motion.way, first)
    turned = np.sign(turns) * np.linspace(_HEAD_DEG - _SWEEP_DEG, _HEAD_DEG, 46) * pi / 180.0
    return np.asarray(middle + radius * (np.outer(np.cos(turned), first) + np.outer(np.sin(turned), second)))


def _middle(mesh: Mesh) -> Array:
    return np.asarray((mesh.corners_mm.max(axis=0) + mesh.corners_mm.min(axis=0)) / 2)
