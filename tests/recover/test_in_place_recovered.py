"""Recover: parts put on a simulated engine are found where they truly are, within the uncertainty that is claimed.

Each simulated engine has its true places; its survey, its ports' sizes and its joints are off by what they are said to
be off by, and the program sees those only.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation

from loaded import Loaded
from stood import Array, Points, mm, stood
from trialfit.fitup.in_place import InPlace

stats = Loaded("scipy.stats")

ENGINES = 120
AT_K2, SLACK_K2, LEAN_K2, DEPTH_K2 = 0.1, 0.2, 1.0, 0.3
INLET, OUTLET, CAP = np.array([0.0, 0, -12]), np.array([14.0, 0, 2]), np.array([0.0, 0, 11])
HOLE = np.array([0.0, 0, -6])


def _off(rng: np.random.Generator, k2: float, size: int = 3) -> Array:
    return rng.normal(size=size) * k2 / 2


def _engine(rng: np.random.Generator) -> tuple[dict[str, tuple[Array, Array]], InPlace]:
    """True turn and place of bush, valve and nut; and what the program makes of what was measured of them."""
    bush = Rotation.random(random_state=rng).as_matrix(), rng.uniform(-50, 50, 3)
    depth = 4.0
    # The valve looks into the bush, rolled anyhow, leaning and standing off as the joint lets it.
    roll = Rotation.from_euler("z", rng.uniform(0, 2 * np.pi)).as_matrix()
    lean = Rotation.from_rotvec([*_off(rng, np.radians(LEAN_K2), 2), 0.0]).as_matrix()
    valve_turn = bush[0] @ lean @ roll
    own_inlet = INLET + _off(rng, AT_K2)
    at = bush[1] + bush[0] @ np.array([*_off(rng, SLACK_K2, 2), -depth])
    valve = valve_turn, at - valve_turn @ own_inlet
    cap = valve_turn @ (CAP + _off(rng, AT_K2)) + valve[1]
    outlet = valve_turn @ (OUTLET + _off(rng, AT_K2)) + valve[1]
    true = {"face": bush[1], "back": bush[1] - 40 * bush[0][:, 2], "cap": cap, "outlet": outlet}
    true["back"] = true["back"] + bush[0] @ np.array([*_off(rng, 0.2, 2), 0.0])
    root = rng.normal(size=(12, 12)) * 0.08
    spread = root @ root.T + 0.02 * np.eye(12)
    seen = np.concatenate(list(true.values())) + np.linalg.cholesky(spread) @ rng.normal(size=12)
    points: Points = {name: tuple(seen[3 * k : 3 * k + 3]) for k, name in enumerate(true)}
    # A nut on the outlet's thread, likewise.
    side = np.column_stack([[0.0, 1, 0], [0.0, 0, 1], [1.0, 0, 0]])
    nut_turn = valve_turn @ side @ np.diag([1.0, -1, -1]) @ Rotation.from_rotvec(
        [*_off(rng, np.radians(LEAN_K2), 2), 0.0]
    ).as_matrix()  # fmt: skip
    slid = side @ np.array([*_off(rng, float(np.hypot(SLACK_K2, AT_K2)), 2), 0.0])
    nut_at = valve[1] + valve_turn @ (OUTLET + slid - np.array([5.0 + float(_off(rng, DEPTH_K2, 1)[0]), 0, 0]))
    said = depth + float(_off(rng, DEPTH_K2, 1)[0])
    return {"bush": bush, "valve": valve, "nut": (nut_turn, nut_at)}, _stood(points, said, spread)


def _stood(points: Points, depth: float, spread: Array) -> InPlace:
    pm = f"{AT_K2} mm"
    ports: dict[str, Any] = {
        "inlet": {"thread": "1/4x40", "gender": "male", "at": mm(*INLET), "at_pm": pm},
        "outlet": {"thread": "1/4x40", "gender": "male", "at": mm(*OUTLET), "at_pm": pm, "face": "outlet"},
        "cap": {"at": mm(*CAP), "at_pm": pm, "face": "cap"},
    }
    bush = {"thread": "1/4x40", "gender": "female", "face": "face", "axis_from": "back"}
    parts = {
        "bush": {"kind": "bush", "ports": {"thread": bush}}, "valve": {"kind": "check valve", "ports": ports},
        "nut": {"kind": "union nut", "ports": {"thread": {"thread": "1/4x40"}}},
    }  # fmt: skip
    loose = {"slack": f"{SLACK_K2} mm", "lean": f"{LEAN_K2} deg"}
    joints: list[dict[str, Any]] = [
        {
            "a": "valve.inlet",
            "b": "bush.thread",
            "hidden": {"value": f"{depth:.4f} mm", "pm": f"{DEPTH_K2} mm"},
            **loose,
        },
        {"a": "nut.thread", "b": "valve.outlet", "hidden": {"value": "5 mm", "pm": f"{DEPTH_K2} mm"}, **loose},
    ]
    return stood(points, parts, joints, covariance=spread)


def test_true_places_lie_within_what_is_claimed() -> None:
    """Of all coordinates 95.4 % lie within k = 2, and the six of a valve within their ellipsoid as chi-square has it.

    A share is taken to agree within 3.3 of its own binomial standard deviations (one in a thousand).
    """
    rng = np.random.default_rng(20)
    inside = {"bush": 0, "valve": 0, "nut": 0}
    whole, tried = 0, 0
    for _ in range(ENGINES):
        true, found = _engine(rng)
        for part, (turn, at) in true.items():
            place, spread = found.adjusted.places[part], found.adjusted.covariance[part]
            axis_off = place.turn[:, 2] - turn[:, 2]
            moved = at - place.shift_mm
            if part == "valve":
                by = Rotation.from_matrix(turn @ place.turn.T).as_rotvec()
                six = np.concatenate([moved, by])
                whole += bool(six @ np.linalg.solve(spread, six) < stats.chi2.ppf(0.95, 6))
            else:
                # What can be seen of a round part: its place and the way it looks.
                assert np.linalg.norm(axis_off) < 0.3
            k2 = 2 * np.sqrt(np.diag(spread)[:3])
            inside[part] += int(np.sum(np.abs(moved) < k2))
        tried += 3
    assert stats.binom.ppf(0.001, ENGINES, 0.95) <= whole <= stats.binom.ppf(0.999, ENGINES, 0.95)
    for part, count in inside.items():
        # Three coordinates of one part go together: the sampling error is that of the engines, not of thrice as many.
        off = abs(count / tried - 0.954)
        assert off < 3.3 * np.sqrt(0.954 * 0.046 / ENGINES), (part, count / tried)
