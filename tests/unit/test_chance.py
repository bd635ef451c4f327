"""Unit: the chance of dropping on, against closed forms and rolls tried one by one; the way chosen; the seat rule."""

from __future__ import annotations

from math import erf, exp, radians, sin, sqrt

import numpy as np
import pytest

from trialfit.finding import Figure
from trialfit.fitup.chance import Play, Springs, drops_on, fixed_draws, share, springs_on, strays_drawn, turned_on
from trialfit.fitup.offer import Offer
from trialfit.fitup.records import Array, Way
from trialfit.fitup.seats_rule import slides_in
from trialfit.fitup.ways_out import recommended

WIDE = 1e6
Z = np.array([0.0, 0.0, 1.0])


def offer(sigmas: list[float], swing: list[float] | None = None) -> Offer:
    spread = np.diag(np.square(sigmas))
    return Offer(np.zeros(6), spread, np.zeros((6, 6)), np.array(swing or [0.0] * 6), Z)


def chance(of: Offer, play: Play) -> float:
    figure = share(drops_on(of, strays_drawn(of, of.survey, fixed_draws()), play))
    return figure.value / 100


# Six shares of 8192 draws are good to 0.3 % here; the error it states itself is 1 % at least.
CLOSE = 0.005


def test_two_ways_off_alike_are_rayleigh() -> None:
    """P(r <= L) = 1 - exp(-L^2 / 2 s^2): L = 0.5, s = 0.4 gives 0.5422."""
    assert 1 - exp(-(0.5**2) / (2 * 0.4**2)) == pytest.approx(0.5422, abs=5e-5)
    assert chance(offer([0.4, 0.4, 0, 0, 0, 0]), Play(0.5, WIDE, 90)) == pytest.approx(0.5422, abs=CLOSE)


def test_a_gap_along_the_axis_is_normal() -> None:
    """P(|z| <= L) = erf(L / s sqrt 2): one standard deviation holds 68.27 % (any table of the normal)."""
    assert chance(offer([0, 0, 0.3, 0, 0, 0]), Play(WIDE, 0.3, 90)) == pytest.approx(0.6827, abs=CLOSE)


def test_out_of_line_is_rayleigh_in_angle() -> None:
    """Limit 1 deg, 0.8 deg each way: 1 - exp(-1 / (2 x 0.64)) = 0.5422 again."""
    sigma = radians(0.8)
    assert chance(offer([0, 0, 0, sigma, sigma, 0]), Play(WIDE, WIDE, 1.0)) == pytest.approx(0.5422, abs=CLOSE)


def test_what_is_independent_multiplies() -> None:
    sigma = radians(0.8)
    wanted = 0.5422 * 0.6827 * 0.5422
    assert chance(offer([0.4, 0.4, 0.5, sigma, sigma, 0]), Play(0.5, 0.5, 1.0)) == pytest.approx(wanted, abs=CLOSE)


def test_roll_takes_one_way_off() -> None:
    """Rolling moves the end along x: only y is left, and 0.5 of 0.4 is erf(1.25 / sqrt 2) = 0.7887."""
    assert erf(1.25 / sqrt(2)) == pytest.approx(0.7887, abs=5e-5)
    of = offer([0.4, 0.4, 0, 0, 0, 0], [60.0, 0, 0, 0, 0, 0])
    assert chance(of, Play(0.5, WIDE, 90)) == pytest.approx(0.7887, abs=CLOSE)
    # A second joint that moves it along y leaves nothing.
    strays = strays_drawn(of, of.survey, fixed_draws(64))
    assert turned_on(of, strays, Play(0.5, WIDE, 90), np.array([0, 40.0, 0, 0, 0, 0])).all()


def test_the_stated_error_holds_the_closed_form() -> None:
    figure = share(
        drops_on(o := offer([0.4, 0.4, 0, 0, 0, 0]), strays_drawn(o, o.survey, fixed_draws()), Play(0.5, 9, 9))
    )
    assert figure.k2 is not None
    assert abs(figure.value - 54.22) < figure.k2


def test_rolls_tried_one_by_one_agree() -> None:
    random = np.random.default_rng(4)
    mixing = random.normal(size=(6, 6)) * [0.5, 0.5, 0.5, 0.01, 0.01, 0.01]
    swing = np.array([30.0, -20.0, 10.0, 0.3, -0.2, 0.0])
    of = Offer(np.full(6, 0.004), mixing.T @ mixing, np.zeros((6, 6)), swing, Z)
    strays = strays_drawn(of, of.survey, fixed_draws(100))
    play = Play(0.6, 0.7, 1.5)
    rolls = np.linspace(-0.1, 0.1, 20001)[:, None]
    agree = 0
    for stray, ours in zip(strays.reshape(-1, 6), drops_on(of, strays, play).ravel(), strict=True):
        at = stray + rolls * swing
        good = (np.hypot(at[:, 0], at[:, 1]) <= 0.6) & (abs(at[:, 2]) <= 0.7)
        good &= np.linalg.norm(at[:, 3:], axis=1) <= 2 * sin(radians(0.75))
        agree += bool(good.any()) == bool(ours)
    assert agree >= 798  # of 800: a stretch narrower than a step of roll slips through


def test_sprung_on_is_rayleigh_with_the_force_as_limit() -> None:
    """2 N a mm and 1 N: off by 0.5 mm or less, whatever the union draws in."""
    of = offer([0.4, 0.4, 0, 0, 0, 0])
    strays = strays_drawn(of, of.survey, fixed_draws())
    springs = Springs(2 * np.eye(3), np.zeros((3, 3)), 1.0)
    assert share(springs_on(of, strays, Play(0, 0, 1), springs)).value / 100 == pytest.approx(0.5422, abs=CLOSE)
    # Drawing it over by 0.5 mm turns its end by 1 deg: with 0.5 deg allowed only half of that may be drawn.
    turning = np.array([[radians(2.0), 0, 0], [0, radians(2.0), 0], [0, 0, 0]])
    half = share(springs_on(of, strays, Play(0, 0, 0.5), Springs(2 * np.eye(3), turning, 1.0))).value / 100
    assert half == pytest.approx(1 - exp(-(0.25**2) / (2 * 0.4**2)), abs=CLOSE)


def way(name: str, trouble: int, pct: float) -> Way:
    return Way(name, trouble, Figure(pct, "%"), "", "")


@pytest.mark.parametrize(
    ("ways", "wanted"),
    [
        ((way("a", 0, 96), way("b", 1, 99)), "a"),
        ((way("a", 0, 80), way("b", 3, 97), way("c", 5, 99.9)), "b"),
        ((way("a", 0, 10), way("b", 1, 60), way("c", 4, 61)), "b"),
        ((way("a", 0, 10), way("b", 1, 60), way("c", 4, 70)), "c"),
    ],
)
def test_the_way_recommended(ways: tuple[Way, ...], wanted: str) -> None:
    assert recommended(ways).name == wanted


def walls(axis: Array, half_deg: float) -> Array:
    """Normals of a hollow cone's wall, out of the metal: a movement in keeps them at nought or less against it."""
    side = np.cross(axis, [0.3, 0.5, 0.81])
    side /= np.linalg.norm(side)
    other = np.cross(axis, side)
    turn = np.linspace(0, 2 * np.pi, 721)[:-1, None]
    around = np.cos(turn) * side + np.sin(turn) * other
    return np.asarray(sin(radians(half_deg)) * axis - np.cos(radians(half_deg)) * around)


@pytest.mark.parametrize(("one", "other"), [(30, 30), (45, 30), (90, 30), (90, 90), (12, 50)])
def test_the_seat_rule_against_the_walls(one: float, other: float) -> None:
    """A movement out of a cone must not run into its wall: none of 720 wall normals may be against it."""
    up = np.array([0.0, 0.0, 1.0])
    for apart in np.arange(2.5, 180, 5.0):
        leaning = np.array([sin(radians(apart)), 0, np.cos(radians(apart))])
        # By symmetry the best movement out of both lies in the plane of the two axes.
        turns = np.radians(np.arange(0, 360, 0.25))
        ways = np.stack([np.sin(turns), 0 * turns, np.cos(turns)], axis=1)
        free = np.ones(len(ways), dtype=bool)
        for axis, half in ((up, one), (leaning, other)):
            normals = walls(axis, half) if half < 90 else axis[None]
            free &= (ways @ normals.T >= -1e-6).all(axis=1)
        if abs(apart - one - other) > 0.5:
            assert bool(free.any()) == slides_in(up, leaning, one, other), apart
