"""Outside: pipes against the pipe trade's rolling offset, Dubins' shortest paths, the handbook's least radii."""

from __future__ import annotations

from collections.abc import Callable
from math import atan2, cos, degrees, pi, sin, sqrt

import numpy as np
import pytest

from trialfit.fitup.bends import bend_table
from trialfit.fitup.corners import Bender
from trialfit.fitup.landing import Scatter
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import EndFace, TubeStock
from trialfit.fitup.two_bends import shortest_two_bends
from trialfit.tables.rules import rule


def test_rolling_offset_by_hand() -> None:
    """A rolling offset as fitters work it: roll 150, rise 200, two bends of 45 deg, radius 30, 100 mm past each corner.

    Common practice, worked by hand. True offset sqrt(150^2 + 200^2) = 250; travel 250 / sin 45 = 353.553; advance
    250 / tan 45 = 250. Each bend takes off two tangents of 30 tan 22.5 = 12.42641 and gives back an arc of
    30 pi / 4 = 23.56194: 1.29088 less. Centre line 100 + 353.553 + 100 - 2 * 1.29088 = 550.972.
    """
    straight = 100 - 12.42641
    start = EndFace("a", np.zeros(3), np.array([1.0, 0, 0]), straight, 0.0)
    end = EndFace("b", np.array([450.0, 150, 200]), np.array([-1.0, 0, 0]), straight, 0.0)
    tube = TubeStock(9.525, 0.9, "CW024A")
    plan = pipe_between("offset", start, end, np.zeros((12, 12)), tube, 30.0, 20.0, 0.0, Scatter(0.6, 2.0, 4.0))
    assert [leg.value for leg in plan.legs] == pytest.approx([100, 353.553, 100], abs=5e-4)
    assert plan.cut_length.value == pytest.approx(550.972, abs=5e-4)
    assert [bend.angle.value for bend in plan.bends] == pytest.approx([45, 45], abs=1e-4)
    # Both bends lie in the one plane and turn opposite ways.
    assert plan.bends[1].rotation.value == pytest.approx(180)
    # Marks: 87.574 and 23.562 more; then 353.553 - 2 * 12.426 = 328.701 of straight.
    marks = [figure.value for bend in plan.bends for figure in (bend.starts, bend.ends)]
    assert marks == pytest.approx([87.574, 111.136, 439.836, 463.398], abs=6e-4)


# Dubins' words: three pieces, each a left turn, a right turn or a straight, of least radius 1.
# L. E. Dubins, "On curves of minimal length with a constraint on average curvature ...", American Journal of
# Mathematics 79 (1957) 497-516: the shortest is of the form turn-straight-turn or turn-turn-turn. Closed forms as
# A. M. Shkel and V. Lumelsky give them, "Classification of the Dubins set", Robotics and Autonomous Systems 34 (2001)
# 179-202, eqs. 11-18 (from memory; the test below lays each word out and sees that it lands before it is believed).
Word = Callable[[float, float, float], tuple[float, float, float] | None]


def _around(angle: float) -> float:
    return angle % (2 * pi)


def _lsl(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    square = 2 + d * d - 2 * cos(a - b) + 2 * d * (sin(a) - sin(b))
    turn = atan2(cos(b) - cos(a), d + sin(a) - sin(b))
    return None if square < 0 else (_around(turn - a), sqrt(square), _around(b - turn))


def _rsr(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    square = 2 + d * d - 2 * cos(a - b) + 2 * d * (sin(b) - sin(a))
    turn = atan2(cos(a) - cos(b), d - sin(a) + sin(b))
    return None if square < 0 else (_around(a - turn), sqrt(square), _around(turn - b))


def _lsr(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    square = -2 + d * d + 2 * cos(a - b) + 2 * d * (sin(a) + sin(b))
    if square < 0:
        return None
    p = sqrt(square)
    turn = atan2(-cos(a) - cos(b), d + sin(a) + sin(b)) - atan2(-2.0, p)
    return _around(turn - a), p, _around(turn - b)


def _rsl(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    square = -2 + d * d + 2 * cos(a - b) - 2 * d * (sin(a) + sin(b))
    if square < 0:
        return None
    p = sqrt(square)
    turn = atan2(cos(a) + cos(b), d - sin(a) - sin(b)) - atan2(2.0, p)
    return _around(a - turn), p, _around(b - turn)


def _rlr(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    cosine = (6 - d * d + 2 * cos(a - b) + 2 * d * (sin(a) - sin(b))) / 8
    if abs(cosine) > 1:
        return None
    p = _around(2 * pi - np.arccos(cosine))
    t = _around(a - atan2(cos(a) - cos(b), d - sin(a) + sin(b)) + p / 2)
    return t, p, _around(a - b - t + p)


def _lrl(a: float, b: float, d: float) -> tuple[float, float, float] | None:
    return _rlr(-a, -b, d)


WORDS: dict[str, Word] = {"LSL": _lsl, "RSR": _rsr, "LSR": _lsr, "RSL": _rsl, "RLR": _rlr, "LRL": _lrl}


def _laid_out(word: str, pieces: tuple[float, float, float], a: float) -> tuple[float, float, float]:
    """Where a word ends: x, y and heading, begun at nought with heading a."""
    x, y, heading = 0.0, 0.0, a
    for kind, piece in zip(word, pieces, strict=True):
        if kind == "S":
            x, y = x + piece * cos(heading), y + piece * sin(heading)
        else:
            side = 1 if kind == "L" else -1
            x += side * (sin(heading + side * piece) - sin(heading))
            y -= side * (cos(heading + side * piece) - cos(heading))
            heading += side * piece
    return x, y, heading


def _dubins(a: float, b: float, d: float) -> tuple[str, tuple[float, float, float]]:
    """The shortest word from (0, 0) heading a to (d, 0) heading b, every word checked by laying it out."""
    found = []
    for word, closed_form in WORDS.items():
        pieces = closed_form(a, b, d)
        if pieces is not None:
            x, y, heading = _laid_out(word, pieces, a)
            assert np.allclose([x, y, cos(heading - b)], [d, 0, 1], atol=1e-9), word
            found.append((sum(pieces), word, pieces))
    _, word, pieces = min(found)
    return word, pieces


def test_plane_pipes_are_dubins_shortest_paths() -> None:
    """With no straights asked for, the shortest two-bend pipe is Dubins' path, wherever that has two bends to make.

    Left out are those whose shortest path is three turns, or turns more than the 150 deg a bend is laid out for.
    """
    random = np.random.default_rng(1957)
    radius, compared, words = 12.7, 0, set()
    while compared < 60:
        a, b, d = random.uniform(-pi, pi), random.uniform(-pi, pi), random.uniform(0.5, 8)
        word, pieces = _dubins(a, b, d)
        if word[1] != "S" or max(pieces[0], pieces[2]) > 2.6 or min(pieces) < 0.01:
            continue
        start = EndFace("a", np.zeros(3), np.array([cos(a), sin(a), 0]), 0.0, 0.0)
        end = EndFace("b", np.array([radius * d, 0, 0]), -np.array([cos(b), sin(b), 0]), 0.0, 0.0)
        vertices = shortest_two_bends(start, end, Bender(radius, 0.0))
        assert vertices is not None
        table = bend_table(vertices, radius)
        assert table.centre_line_mm == pytest.approx(radius * sum(pieces), abs=1e-6)
        # Between corners laid out to a hair of no straight at all, angles agree to a hundredth of a degree.
        assert [line.angle_deg for line in table.lines] == pytest.approx(
            [degrees(pieces[0]), degrees(pieces[2])], abs=0.01
        )
        assert table.lines[1].rotation_deg == pytest.approx(0 if word[0] == word[2] else 180)
        compared += 1
        words.add(word)
    assert words == {"LSL", "RSR", "LSR", "RSL"}


@pytest.mark.parametrize(
    ("od_in", "radius_in", "ratio"),
    # Copper Tube Handbook table 4.1, bending guide: nominal 1/4, 3/8 and 1/2 in, annealed, by machine.
    [(3 / 8, 3 / 4, 2.0), (1 / 2, 3 / 2, 3.0), (5 / 8, 9 / 4, 3.6)],
)
def test_least_radii_of_the_handbook(od_in: float, radius_in: float, ratio: float) -> None:
    name = {3 / 8: "3/8", 1 / 2: "1/2", 5 / 8: "5/8"}[od_in]
    law = rule("bend", f"least radius at {name} in outside diameter")
    assert (law.low, law.high) == (ratio, ratio)
    assert radius_in / od_in == pytest.approx(ratio)
