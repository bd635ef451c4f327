"""Recover: the stated chance agrees with the share of simulated pipes that do go on.

Each job has true faces that the program never sees. It is given points surveyed a little off, lays out the pipe, and
states the chance. The pipe is then made with slips of its own, put on the true start face, rolled by fiftieths of a
degree, and held against the true end face with vectors alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
import pytest

from trialfit.fitup.bends import BendLine, BendTable, Pose, bend_table, replay
from trialfit.fitup.chance import Play, drops_on, fixed_draws, share, strays_drawn
from trialfit.fitup.landing import Scatter
from trialfit.fitup.offer import offer_of
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import Array, EndFace, PipePlan, TubeStock
from trialfit.parts.place import two_faces
from trialfit.parts.records import Port

JOBS = 320
SCATTER = Scatter(0.4, 1.0, 1.6)
PLAY, LOOSE = Play(0.5, 0.5, 1.0), Play(0.55, 2.5, 2.6)
TUBE = TubeStock(4.7625, 0.711, "CW024A")


@dataclass(frozen=True)
class Shaken:
    """A survey that came out a little off, and says by how much it may be."""

    points: Array
    covariance: Array

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        places = [int(name) for name in names]
        rows = np.concatenate([3 * place + np.arange(3) for place in places])
        return self.points[places], self.covariance[np.ix_(rows, rows)]


def port(part: str, face: str, behind: str) -> Port:
    return Port(part, "face", frozenset(), None, None, None, None, None, "socket", (0, 0, 1), face, behind)


def spread_of_points(random: np.random.Generator) -> Array:
    mixing = random.normal(size=(12, 12)) + 1.5 * np.tile(np.eye(3), (4, 4))
    covariance = mixing @ mixing.T
    return np.asarray(covariance * 0.12**2 / np.diag(covariance).mean())


def made(pipe: PipePlan, random: np.random.Generator) -> BendTable:
    table = bend_table(pipe.vertices_mm, pipe.radius_mm)
    lines = tuple(
        BendLine(
            line.feed_mm + random.normal(0, SCATTER.length_mm / 2),
            line.rotation_deg + random.normal(0, SCATTER.rotation_deg / 2),
            line.angle_deg + random.normal(0, SCATTER.bend_deg / 2),
        )
        for line in table.lines
    )
    return BendTable(table.radius_mm, lines, table.last_straight_mm + random.normal(0, SCATTER.length_mm / 2))


def goes_on(table: BendTable, truth: Array, plays: tuple[Play, ...]) -> list[bool]:
    """Seated on the true start face, rolled round to where it is nearest and then finely, held against the true end."""
    (start, behind, end, end_behind) = truth
    way = (start - behind) / np.linalg.norm(start - behind)
    inward = (end_behind - end) / np.linalg.norm(end_behind - end)
    side = np.cross(way, [0.31, 0.52, 0.79])
    side /= np.linalg.norm(side)
    other = np.cross(way, side)
    there = replay(table, Pose(np.zeros(3), np.array([1.0, 0, 0]), np.array([0, 0, 1.0])))

    def rolled(rolls: Array) -> tuple[Array, Array, Array]:
        first = np.cos(rolls)[:, None] * side + np.sin(rolls)[:, None] * other
        second = np.cross(way, first)

        def placed(vector: Array) -> Array:
            return np.asarray(vector[0] * way + vector[1] * first + vector[2] * second)

        off, along = start + placed(there.position_mm) - end, placed(there.direction)
        gap = off @ inward
        aside = np.linalg.norm(off - gap[:, None] * inward, axis=1)
        return aside, gap, np.degrees(np.arccos(np.clip(along @ inward, -1, 1)))

    coarse = np.radians(np.arange(0, 360.0))
    aside, gap, _ = rolled(coarse)
    near = coarse[np.argmin(np.hypot(aside, gap))]
    aside, gap, out = rolled(near + np.radians(np.arange(-4, 4, 0.02)))
    return [bool(((aside <= p.aside_mm) & (abs(gap) <= p.along_mm) & (out <= p.out_of_line_deg)).any()) for p in plays]


@pytest.mark.parametrize("far", [(60.0, 30.0, -70.0), (45.0, -35.0, -90.0)])
def test_the_stated_chance_is_the_share_that_go_on(far: tuple[float, float, float]) -> None:
    random = np.random.default_rng(2027)
    covariance = spread_of_points(random)
    went, stated = np.zeros(2), []
    for _ in range(JOBS // 2):
        turn = radians(random.uniform(-25, 25))
        behind = np.array(far) + 38 * np.array([cos(turn), sin(turn), random.uniform(-0.4, 0.4)])
        truth = np.array([[0.0, 0, 0], [0, 0, 33], far, behind])
        seen = Shaken((truth.ravel() + random.multivariate_normal(np.zeros(12), covariance)).reshape(4, 3), covariance)
        one, end, joint = two_faces(seen, port("a", "0", "1"), port("b", "2", "3"))
        faces = [EndFace(face.name, face.position_mm, face.direction, 14.0, 3.0) for face in (one, end)]
        pipe = pipe_between("feed", faces[0], faces[1], joint, TUBE, 12.7, 10.0, 0.5, SCATTER)
        offer = offer_of(pipe, joint, SCATTER)
        strays = strays_drawn(offer, offer.survey + offer.bench, fixed_draws(128))
        stated.append([share(drops_on(offer, strays, play)).value / 100 for play in (PLAY, LOOSE)])
        went += goes_on(made(pipe, random), truth, (PLAY, LOOSE))
    chances = np.array(stated)
    expected, error = chances.sum(axis=0), np.sqrt((chances * (1 - chances)).sum(axis=0))
    print("went on", went, "stated", expected.round(1), "of", len(chances), "sampling error", error.round(1))
    assert 0.15 < chances[:, 0].mean() < 0.9
    assert (abs(went - expected) < 2.5 * error).all()
