"""Unit: faces from surveyed points; directions and spreads worked by hand, slopes against small moves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.parts.place import two_faces
from trialfit.parts.records import Array, Port


@dataclass(frozen=True)
class Points:
    """Named points with a joint covariance, as a survey gives them."""

    at: dict[str, tuple[float, float, float]]
    covariance: Array

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        order = list(self.at)
        rows = np.concatenate([3 * order.index(name) + np.arange(3) for name in names])
        return np.array([self.at[name] for name in names]), self.covariance[np.ix_(rows, rows)]


def port(name: str, face: str | None, behind: str | None) -> Port:
    return Port("p", name, frozenset(), None, None, None, None, None, "socket", (0, 0, 1), face, behind)


AT = {"a": (0.0, 0.0, 10.0), "a.back": (0.0, 0.0, 40.0), "b": (50.0, 3.0, 0.0), "b.back": (50.0, -9.0, 5.0)}


def test_direction_and_spread_by_hand() -> None:
    # 0.2 mm on every coordinate, nothing shared: across an axis of 30 mm the direction strays by
    # sqrt(0.2^2 + 0.2^2) / 30 = 0.0094281, along it not at all. (0, 12, -5) / 13 is a whole-numbered direction.
    a, b, covariance = two_faces(Points(AT, 0.04 * np.eye(12)), port("a", "a", "a.back"), port("b", "b", "b.back"))
    np.testing.assert_allclose(a.direction, (0, 0, -1))
    np.testing.assert_allclose(b.direction, (0, 12 / 13, -5 / 13))
    assert (a.base_mm, b.base_mm) == (30.0, 13.0)
    np.testing.assert_allclose(np.sqrt(np.diag(covariance)[:6]), [0.2, 0.2, 0.2, 0.0094281, 0.0094281, 0], atol=1e-7)
    # The face and the direction go together: moving the face sideways by s turns the axis by s / 30.
    np.testing.assert_allclose(covariance[0, 3], 0.04 / 30)
    np.testing.assert_allclose(b.direction @ covariance[9:, 9:] @ b.direction, 0, atol=1e-18)


def test_joint_covariance_against_small_moves_with_a_shared_point() -> None:
    random = np.random.default_rng(7)
    spread = random.normal(size=(12, 12)) * 0.1
    points = Points(AT, spread @ spread.T)
    # Both ports take their direction from the same point behind.
    ports = port("a", "a", "b.back"), port("b", "b", "b.back")
    _, _, covariance = two_faces(points, *ports)

    def faces(moved: Array) -> Array:
        a, b, shared = moved[0:3], moved[6:9], moved[9:12]
        directions = [(face - shared) / np.linalg.norm(face - shared) for face in (a, b)]
        return np.concatenate([a, directions[0], b, directions[1]])

    at = np.array(list(AT.values())).ravel()
    slopes = np.array([(faces(at + 1e-5 * row) - faces(at - 1e-5 * row)) / 2e-5 for row in np.eye(12)]).T
    np.testing.assert_allclose(covariance, slopes @ points.covariance @ slopes.T, atol=1e-9)


def on_axis(name: str, face: str, axis: str, against: bool) -> Port:
    return replace(port(name, face, None), axis_of=axis, axis_against=against)


def test_a_surveyed_axis_gives_the_direction_with_its_own_spread() -> None:
    # Face a and the axis of a rim, face b and the axis of a tube's length; 0.2 mm, and 0.01 across the axes, and
    # what face a and its rim share: 0.001 mm. Pointing against the tube turns the sign of all that b shares.
    at = {"a": (0.0, 0.0, 10.0), "rim": (0.0, 0.0, 1.0), "b": (50.0, 3.0, 0.0), "old.leg2": (0.0, -0.6, 0.8)}
    covariance = np.diag([0.04] * 3 + [1e-4, 1e-4, 0.0] + [0.04] * 3 + [1e-4] * 3)
    covariance[0, 3] = covariance[3, 0] = 0.001
    covariance[6, 9] = covariance[9, 6] = 0.002
    a, b, joint = two_faces(
        Points(at, covariance), on_axis("a", "a", "rim", False), on_axis("b", "b", "old.leg2", True)
    )
    np.testing.assert_allclose(a.direction, (0, 0, 1))
    np.testing.assert_allclose(b.direction, (0, 0.6, -0.8))
    assert a.base_mm == b.base_mm == 0.0
    np.testing.assert_allclose(joint[:6, :6], covariance[:6, :6])
    np.testing.assert_allclose(joint[6, 9], -0.002)
    np.testing.assert_allclose(joint[9:, 9:], covariance[9:, 9:])


def test_a_face_on_an_axis_and_one_between_two_points_go_together() -> None:
    at = {"a": (0.0, 0.0, 10.0), "rim": (0.0, 0.0, 1.0), "b": (50.0, 3.0, 0.0), "b.back": (50.0, -9.0, 5.0)}
    a, b, _ = two_faces(Points(at, 1e-4 * np.eye(12)), on_axis("a", "a", "rim", True), port("b", "b", "b.back"))
    np.testing.assert_allclose(a.direction, (0, 0, -1))
    np.testing.assert_allclose(b.direction, (0, 12 / 13, -5 / 13))


def test_an_axis_that_may_lean_anywhere_is_refused() -> None:
    # 0.3 across: two standard deviations are 0.6 rad = 34.4 deg; a quarter of a radian twice is 28.6 deg.
    at = {"a": (0.0, 0.0, 10.0), "rim": (0.0, 0.0, 1.0), "b": (50.0, 3.0, 0.0), "b.back": (50.0, -9.0, 5.0)}
    with pytest.raises(Refusal) as refused:
        two_faces(Points(at, 0.09 * np.eye(12)), on_axis("a", "a", "rim", False), port("b", "b", "b.back"))
    assert str(refused.value) == (
        "port p.a, direction: got the axis of rim, known to ± 34 deg, wanted an axis known to ± 29 deg or better. "
        "Mark it in one more photograph from well to one side."
    )


@pytest.mark.parametrize(
    ("face", "behind", "text"),
    [
        (
            None,
            None,
            "port p.a: got no face, wanted a surveyed point in the middle of its face. "
            "Add face = ... with the point's name, and mark it in the photographs; or add the joint that holds p, and "
            "say where in it the port is: at = ....",
        ),
        (
            "a",
            None,
            "port p.a: got a face without a direction, wanted a second surveyed point, behind the face on its axis. "
            "Add axis_from = ... with a point on the same axis, the further back the better.",
        ),
        (
            # 5 mm on every coordinate: the difference strays by 5 sqrt 2 = 7.07 mm, four of which are 28.3 mm
            "b",
            "b.back",
            "port p.a, direction: got b and b.back 13.0 mm apart, known to ± 14.1 mm, wanted at least 28.3 mm between "
            "them. Name a point further back on the same axis, or measure the distance between the two with a caliper.",
        ),
    ],
)
def test_a_port_whose_face_cannot_be_placed_is_refused(face: str | None, behind: str | None, text: str) -> None:
    with pytest.raises(Refusal) as refused:
        two_faces(Points(AT, 25 * np.eye(12)), port("a", face, behind), port("b", "a", "a.back"))
    assert str(refused.value) == text
