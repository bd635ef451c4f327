"""What the fit-up gives. Source: the constructions described in `docs/methods/fitup.md`."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from trialfit.finding import Figure
from trialfit.fitup.route_records import Routing

Array = NDArray[np.float64]


@dataclass(frozen=True)
class EndFace:
    """A face a pipe goes to.

    Parameters
    ----------
    name
        The port, as part.port.
    position_mm
        (3,) middle of the face in the job frame. [mm]
    direction
        (3,) unit vector out of the part: the way the pipe leaves the face. [-]
    straight_mm
        Straight wanted before the first bend, from the face. [mm]
    enters_mm
        How far the tube's end goes past the face into its socket. [mm]
    """

    name: str
    position_mm: Array
    direction: Array
    straight_mm: float
    enters_mm: float


@dataclass(frozen=True)
class TubeStock:
    """The tube a pipe is bent from.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall. [mm]
    metal
        Its name in the tables.
    """

    od_mm: float
    wall_mm: float
    metal: str


@dataclass(frozen=True)
class Bend:
    """One line of the bend table.

    Parameters
    ----------
    number
        Counts from 1 at the start end. [-]
    feed
        Straight before it: from the tube's cut end or from the end of the bend before. [mm]
    rotation
        Turn from the plane of the bend before to the plane of this one, right-handed along the tube from the start:
        clockwise looking that way (0 for the first). Where the bender stands still, the tube turns the other way.
        [deg]
    angle
        Angle of the bend, after springing back. [deg]
    starts
        Where the bend begins, along the cut tube from its start end. [mm]
    ends
        Where it ends, likewise. [mm]
    set_to
        What to bend to before it springs back, or None where the shop has no test piece. [deg]
    """

    number: int
    feed: Figure
    rotation: Figure
    angle: Figure
    starts: Figure
    ends: Figure
    set_to: Figure | None


@dataclass(frozen=True)
class Amplification:
    """What a small slip at the bench does at the far face.

    Parameters
    ----------
    slip
        Such as ``1 deg at bend 2`` or ``1 mm on leg 1``.
    moves
        How far the far end moves. [mm]
    turns
        How far the far end's direction turns. [deg]
    """

    slip: str
    moves: Figure
    turns: Figure


@dataclass(frozen=True)
class Landing:
    """How well the far end lands on its union when the pipe is made to the table, rolled in its first union to suit.

    Parameters
    ----------
    survey_off, bench_off
        How far off the face, k = 2 in the worst direction: from the survey alone, and from the shop's own scatter
        alone. [mm]
    survey_turned, bench_turned
        The angle its end makes with the union's axis, likewise. [deg]
    misses
        Angle left at the start and end union by leaving out a bend too small to make; nought with two bends. [deg]
    """

    survey_off: Figure
    bench_off: Figure
    survey_turned: Figure
    bench_turned: Figure
    misses: tuple[Figure, Figure]


@dataclass(frozen=True)
class PipePlan:
    """A pipe to be made, from face to face.

    Parameters
    ----------
    name
        Its name in the job.
    start, end
        The two faces.
    tube
        What it is bent from.
    radius_mm
        Centre-line radius of every bend. [mm]
    vertices_mm
        (k + 2, 3) start face, k corners, end face, in the job frame. [mm]
    legs
        k + 1 lengths from corner to corner, faces included. [mm]
    bends
        The bend table, k lines.
    centre_line
        Length of the centre line from face to face. [mm]
    cut_length
        What to saw: centre line, both socket depths and the file allowance. [mm]
    file_allowance_mm
        The part of it left for facing. [mm]
    last_straight
        From the end of the last bend to the cut end, the file allowance included. [mm]
    amplifications
        What slips at the bench do at the far face.
    far_end_scatter
        How far the far end strays, k = 2, from the shop's own scatter alone; the same as `landing.bench_off`. [mm]
    landing
        How well the far end lands, from the survey and from the bench.
    routing
        Why it goes the way it goes, and what it passes.
    """

    name: str
    start: EndFace
    end: EndFace
    tube: TubeStock
    radius_mm: float
    vertices_mm: Array
    legs: tuple[Figure, ...]
    bends: tuple[Bend, ...]
    centre_line: Figure
    cut_length: Figure
    file_allowance_mm: float
    last_straight: Figure
    amplifications: tuple[Amplification, ...]
    far_end_scatter: Figure
    landing: Landing
    routing: Routing = field(default_factory=Routing)


@dataclass(frozen=True)
class Strain:
    """What it takes to pull a pipe's far end onto its face.

    Parameters
    ----------
    force
        At the far end. [N]
    start_moment, end_moment
        What the start's and the end's tail have to stand. [N·m]
    stress
        Greatest in the tube. [MPa]
    proof
        Where a set begins. [MPa]
    where
        The section that stands most.
    sets_mm
        First and last place along the centre line over the proof stress; None where it springs back. [mm]
    """

    force: Figure
    start_moment: Figure
    end_moment: Figure
    stress: Figure
    proof: Figure
    where: str
    sets_mm: tuple[float, float] | None

    @property
    def takes_a_set(self) -> bool:
        """Whether some of it does not spring back."""
        return self.sets_mm is not None


@dataclass(frozen=True)
class Way:
    """One way to have a pipe go on.

    Parameters
    ----------
    name
        Such as ``a trial wire first``.
    trouble
        Its place from the least trouble to the most. [-]
    chance
        That it then goes on, with k = 2 of its own error. [%]
    counts
        What is counted in, as a sentence.
    do
        What is to be done, as a sentence.
    """

    name: str
    trouble: int
    chance: Figure
    counts: str
    do: str


@dataclass(frozen=True)
class DropOn:
    """Whether a pipe drops on, and what else can be done.

    Parameters
    ----------
    pipe
        Its name in the job.
    ways
        As planned first, then the ways out, from the least trouble to the most.
    best
        The one recommended.
    stray
        How far the far end may stray, k = 2 in the worst direction, rolled to suit. [mm]
    loose, home
        What it takes to pull it on from there: the nut finger tight, and the cone seated.
    set_through, set_force, springs_back
        To set it over by that stray: how far to push its end [mm], how hard [N], how much of it comes back [mm].
    bends_at
        Moment at which the soft tube bends right through; no tail ever stands more from it. [N·m]
    """

    pipe: str
    ways: tuple[Way, ...]
    best: Way
    stray: Figure
    loose: Strain
    home: Strain
    set_through: Figure
    set_force: Figure
    springs_back: Figure
    bends_at: Figure
