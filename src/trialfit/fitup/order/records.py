"""The order in which parts come off and go on, as records for sheets and pictures. Source: none; these are records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trialfit.finding import Finding
from trialfit.fitup.order.changes import Change
from trialfit.fitup.order.loose import Stand, Way
from trialfit.fitup.order.moved_unions import UnionMoves
from trialfit.fitup.order.no_order import Stuck
from trialfit.fitup.order.resting import Overlap
from trialfit.fitup.scene import Scene
from trialfit.parts.placement import Placement


@dataclass(frozen=True)
class SpannerTurn:
    """What the spanner does in a step.

    Parameters
    ----------
    on
        The thing it goes on.
    flats_mm, length_mm
        The hexagon it fits and how long it is. [mm]
    swing_deg
        How far its handle can swing where it swings furthest; 360 for all round. [deg]
    words
        The same, as a sentence.
    whose
        Whose spanner it is; nobody's where none that fits is known of.
    assumed
        Which of its sizes are assumed, with their figures.
    """

    on: str
    flats_mm: float
    length_mm: float
    swing_deg: float
    words: str
    whose: Literal["owner", "workshop", "nobody"]
    assumed: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class FittingStep:
    """One part coming off or going on.

    Parameters
    ----------
    number
        Counted from 1. [-]
    part, what
        Its name, and which one in words.
    do
        Whether it comes off or goes on.
    things
        All things of the scene that move: its own, and what rides on it.
    rides
        What comes off or goes on with it.
    way
        Its motions, as it comes off.
    motions
        The same in words, in the order in which they are done.
    side
        Where one stands; empty for any side.
    go_round
        Whether one goes round, or turns the engine, before this step.
    spanners
        What is done with a spanner; empty where fingers are enough.
    frees
        What could not have come off before it; when things go on, what has to wait until it is on.
    cautions
        What to be warned of.
    assumed
        What about it is assumed, as sentences.
    """

    number: int
    part: str
    what: str
    do: Literal["off", "on"]
    things: tuple[str, ...]
    rides: tuple[str, ...]
    way: Way
    motions: tuple[str, ...]
    side: str
    go_round: bool
    spanners: tuple[SpannerTurn, ...]
    frees: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]

    def poses(self, a_motion: int = 12) -> tuple[Mapping[str, Placement], ...]:
        """Where all that moves is, picture after picture, for drawing or moving it.

        Parameters
        ----------
        a_motion
            Pictures for each motion. [-]

        Returns
        -------
        tuple of dict
            In the order in which they are seen: by the thing's name, its placement on the job frame relative to its
            place at rest, so that a point of the scene is moved by it. What does not move yet stands at rest.
        """
        now = {name: _at_rest(name) for name in self.things}
        found = [dict(now)]
        own = {name for phase in self.way.phases for name in phase.moves}
        for phase in self.way.phases:
            moving = [
                name for name in self.things if name in phase.moves or (name not in own and own <= {*phase.moves})
            ]
            began = dict(now)
            for k in range(1, a_motion + 1):
                for name in moving:
                    moved = phase.motion.moved(k / a_motion, "job")
                    now[name] = began[name].then(Placement("job", "job", moved.turn, moved.shift_mm))
                found.append(dict(now))
        return tuple(found if self.do == "off" else reversed(found))


@dataclass(frozen=True, eq=False)
class Order:
    """The order in which things come off, or go on.

    Parameters
    ----------
    do
        Whether things come off or go on.
    scene
        What stands: for coming off as it is before the work, for going on as it will be after it.
    stand
        The same, with what can come off and how.
    wanted
        What has to come off or go on.
    steps
        The order; empty where there is none.
    turns
        How often one has to go round, or turn the engine. [-]
    left
        What cannot come off or go on.
    unplaced, not_laid
        What should come off or go on, but stands nowhere: parts without a place; pipes that could not be laid out.
    stuck
        Why, for each of them; empty where there is an order.
    changes
        What single change would free it; tried, each of them.
    overlaps
        What stands in one another at rest without being fixed together.
    cautions
        What to be warned of before anything else.
    findings
        What is said of it.
    union_moves
        What came of moving the unions that stuck pipes go to; None where there is nothing to move, or no need.
    """

    do: Literal["off", "on"]
    scene: Scene
    stand: Stand
    wanted: tuple[str, ...]
    steps: tuple[FittingStep, ...]
    turns: int
    left: tuple[str, ...]
    unplaced: tuple[str, ...]
    not_laid: tuple[str, ...]
    stuck: tuple[Stuck, ...]
    changes: tuple[Change, ...]
    overlaps: tuple[Overlap, ...]
    cautions: tuple[str, ...]
    findings: tuple[Finding, ...]
    union_moves: UnionMoves | None = None


def _at_rest(name: str) -> Placement:
    return Placement(name, "job", np.eye(3), np.zeros(3))
