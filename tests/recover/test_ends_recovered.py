"""Recover: an end nobody surveyed is where it truly is, within what is claimed, on simulated engines.

Each engine has a valve that truly leans, stands off, is clocked and was measured a little wrong; the program sees the
surveyed points and what was measured only.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from ended import INLET, OUTLET, ended
from loaded import Loaded
from stood import Array, Points

stats = Loaded("scipy.stats")

ENGINES, MANY = 40, 400


def _off(rng: np.random.Generator, k2: float, size: int = 3) -> Array:
    return rng.normal(size=size) * k2 / 2


def _leaning(rng: np.random.Generator, about: Array, k2_deg: float) -> Array:
    """A small turn square to a direction."""
    turn = _off(rng, np.radians(k2_deg))
    return np.asarray(Rotation.from_rotvec(turn - about * (about @ turn)).as_matrix())


def _engine(rng: np.random.Generator) -> tuple[Array, Array, Array, Array]:
    """How far the end's place and direction are off from what is said of them, and their covariance."""
    frame, face = Rotation.random(random_state=rng).as_matrix(), rng.uniform(-50, 50, 3)
    inwards, up = frame[:, 2], frame[:, 0]
    # Screwed in 4 mm, its inlet half a turn from twelve and what it is out by; then leaning.
    looks = Rotation.from_rotvec(inwards * (np.pi + float(_off(rng, np.radians(10), 1)[0]))).as_matrix() @ up
    square = np.column_stack([inwards, np.cross(-looks, inwards), -looks])
    turn = _leaning(rng, inwards, 1.0) @ square
    aside = frame @ np.array([*_off(rng, 0.2, 2), 0.0])
    end = face + aside + 4.0 * turn[:, 0]
    middle = end - turn @ (OUTLET + _off(rng, 0.1))
    inlet = middle + turn @ (INLET + _off(rng, 0.1))
    way = _leaning(rng, -turn[:, 2], 0.5) @ -turn[:, 2]
    back = face + 40 * inwards + frame @ np.array([*_off(rng, 0.2, 2), 0.0])
    union = face + frame @ np.array([-90.0, 70, -40])
    true = {"face": face, "back": back, "up": face + 60 * up, "union": union, "under": union - 40 * up}
    root = rng.normal(size=(15, 15)) * 0.06
    spread = root @ root.T + 0.01 * np.eye(15)
    seen = np.concatenate(list(true.values())) + np.linalg.cholesky(spread) @ rng.normal(size=15)
    points: Points = {name: tuple(seen[3 * k : 3 * k + 3]) for k, name in enumerate(true)}
    said = 4.0 + float(_off(rng, 0.3, 1)[0])
    survey = ended(points, {"hidden": {"value": f"{said:.4f} mm", "pm": "0.3 mm"}}, spread=spread)[2].survey
    names = ["valve.inlet as placed", "valve.inlet axis as placed", "union"]
    (at, looking, start), joint = survey.joint(names)
    # To the union the pipe comes from as well: that the two go together has to be right too.
    across = np.hstack([np.eye(3), np.zeros((3, 3)), -np.eye(3)])
    return (
        inlet - at,
        way - looking,
        joint,
        np.concatenate([inlet - union - (at - start), *(across @ joint @ across.T)]),
    )


@pytest.mark.parametrize("engines", [ENGINES, pytest.param(MANY, marks=pytest.mark.long)])
def test_true_ends_lie_within_what_is_claimed(engines: int) -> None:
    """Of all coordinates 95.4 % within k = 2, and place and direction together within 95 % of chi-square with five.

    A share is taken to agree within what one in a thousand would miss by chance, of so many engines.
    """
    rng = np.random.default_rng(31)
    inside = apart = whole = 0
    for _ in range(engines):
        off, turned, joint, between = _engine(rng)
        inside += int(np.sum(np.abs(off) < 2 * np.sqrt(np.diag(joint)[:3])))
        gap, spread = between[:3], between[3:].reshape(3, 3)
        apart += bool(gap @ np.linalg.solve(spread, gap) < stats.chi2.ppf(0.95, 3))
        six = np.concatenate([off, turned])
        whole += bool(six @ np.linalg.pinv(joint[:6, :6], rcond=1e-6, hermitian=True) @ six < stats.chi2.ppf(0.95, 5))
    low, high = stats.binom.ppf(0.001, engines, 0.95), stats.binom.ppf(0.999, engines, 0.95)
    assert low <= whole <= high, whole
    assert low <= apart <= high, apart
    # Three coordinates of one end go together: the sampling error is that of the engines, not of thrice as many.
    assert abs(inside / (3 * engines) - 0.954) < 3.3 * np.sqrt(0.954 * 0.046 / engines), inside
