"""Unit: what an owner is asked in words, where left and right lie, and what he is taken to measure with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.ask_words import CALIPER, RULE, check_line_words, point_words, reading_words, why_words
from trialfit.survey.asks import Change
from trialfit.survey.needed import Needed
from trialfit.survey.possible_lengths import away, tools_of
from trialfit.survey.problem import State
from trialfit.survey.standing import Bearing, ground_of, looking
from trialfit.survey.standing_words import from_where, how_near, listed

Array = NDArray[np.float64]


def job_of(**parts: object) -> Job:
    """A job with two points and whatever else is given."""
    written: dict[str, object] = {
        "format": 1,
        "job": {"name": "stint-feed", "owner": "A. Marshwick", "date": "2026-04-02"},
        "engine": {"name": "Stint", "working_pressure": "80 psi"},
        "points": {
            "bush.face": {"what": "front face of the bush, at its middle"},
            "union.face": {"what": "the middle of the union's face"},
            "bare": {},
        },
    }
    return Job.model_validate(written | parts)


@pytest.mark.parametrize(
    ("azimuth_deg", "height_deg", "words"),
    [
        (0.0, 20.0, "from straight in front, a little above (about 20 degrees down)"),
        (-20.0, 10.0, "from a little to the left, about 20 degrees round, almost level with it"),
        (40.0, 45.0, "from the right, about 40 degrees round, from well above (about 45 degrees down)"),
        (
            -80.0,
            65.0,
            "from the left, about 80 degrees round, nearly side on, from high above, looking steeply down "
            "(about 65 degrees)",
        ),
    ],
)
def test_where_to_stand(azimuth_deg: float, height_deg: float, words: str) -> None:
    assert from_where(Bearing(azimuth_deg, height_deg, 300.0)) == words


def test_how_near_is_told_by_a_photograph_that_was_as_near() -> None:
    # 290 mm is 11.4 in; view0 stood 286 mm away, view5 166 mm.
    stood = [("view0.jpg", Bearing(0.0, 18.0, 286.0)), ("view5.jpg", Bearing(-15.0, 11.0, 166.0))]
    assert how_near(Bearing(40.0, 25.0, 290.0), stood) == "about 29 cm (11 in) away, as near as view0.jpg"
    # 220 mm is 8.7 in, and neither is within an eighth of it.
    assert how_near(Bearing(40.0, 25.0, 220.0), stood) == "about 22 cm (9 in) away"
    assert (listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])) == ("a", "a and b", "a, b and c")


def test_readings_name_points_by_what_they_are() -> None:
    job = job_of()
    assert point_words(job, "bare") == "bare"
    assert reading_words(job, "bush.face", "union.face", CALIPER, False) == (
        "Measure from the front face of the bush, at its middle, to the middle of the union's face, with a caliper, to "
        "the nearest tenth of a millimetre."
    )
    assert reading_words(job, "union.face", "bare", RULE, True) == (
        "Measure again from the middle of the union's face to bare, with a steel rule (a caliper is better, if you "
        "have one), to the nearest half millimetre or better."
    )
    assert check_line_words([("short", 80.0)], False) == (
        "Measure the check line printed along the card's short side (about 80 mm), from tick to tick, with a steel "
        "rule, as closely as you can. It must be the very card that lies in the photographs."
    )


def test_the_reason_is_what_gains_most_among_what_counts() -> None:
    length = Change("pipe feed", "cut length", "mm", 0.8, 0.6, 0.5, True)  # a quarter off
    bend = Change("pipe feed", "angle of bend 1", "deg", 1.0, 0.2, 1.0, False)  # more, but it does not count
    off = Change("pipe feed", "far end off", "mm", 0.9, 0.45, 0.5, True)  # half off
    hangs = ("the length hangs on it", "the bends hang on it", "it says where the far end has to come")
    assert why_words((length, bend, off), hangs) == hangs[2]
    assert why_words((length, bend), hangs[:2]) == hangs[0]
    assert str(length) == "cut length ± 0.80 -> ± 0.60 mm"
    assert str(bend) == "angle of bend 1 ± 1.0 -> ± 0.2 deg"


def test_an_owner_measures_with_what_his_readings_say() -> None:
    def reading(pm: str, by: str) -> dict[str, object]:
        return {"between": ["bush.face", "union.face"], "value": "40 mm", "pm": pm, "by": by}

    assert [(tool.name, tool.k2_mm) for tool in tools_of(job_of())] == [("steel rule", 0.6)]
    own = [reading("0.4 mm", "owner, vernier caliper"), reading("0.8 mm", "owner, steel rule")]
    assert [(tool.name, tool.k2_mm) for tool in tools_of(job_of(readings=own))] == [
        ("caliper", 0.4),
        ("steel rule", 0.8),
    ]
    # A caliper in the workshop is not one the owner has, and what it was held over is here, not there.
    ours = job_of(readings=[reading("0.06 mm", "workshop, caliper")])
    assert [tool.name for tool in tools_of(ours)] == ["steel rule"]
    assert away(ours) == ("bush.face", "union.face")
    assert away(job_of(readings=own)) == ()


def state_of(eyes: Array, up: Array, points: Array) -> State:
    """Photographs from some places, held upright, looking at the middle of some points."""
    at = np.tile(points.mean(axis=0), (len(eyes), 1))
    rotations, translations = looking(eyes, at, up)
    nothing = np.zeros((len(eyes), 3))
    return State(rotations, translations, nothing, np.zeros((1, 8)), np.zeros(5), points)


def test_left_is_left_of_one_who_faces_the_engine() -> None:
    # The card lies flat before the engine: x to the right, y away from the owner, z up. He stands at y = -300, so front
    # is -y and his right is +x.
    points = np.array([[0.0, 0.0, 50.0], [20.0, 0.0, 50.0], [10.0, 10.0, 50.0]])
    eyes = np.array([[10.0, -300.0, 150.0], [-250.0, -100.0, 150.0]])
    state = state_of(eyes, np.array([0.0, 0.0, 1.0]), points)
    ground = ground_of(state, ("front", "left"), np.arange(3))
    assert ground.up == pytest.approx([0.0, 0.0, 1.0])
    assert ground.front == pytest.approx([0.0, -1.0, 0.0], abs=1e-9)
    assert ground.right == pytest.approx([1.0, 0.0, 0.0], abs=1e-9)
    seen = ground.bearing(eyes[1])
    assert seen.azimuth_deg < -60.0
    # Straight up, out to the right at 45 deg and 45 deg above: (100, 0, 100 sqrt 2) from the middle, level part 100.
    above = ground.bearing(ground.aim_mm + np.array([100.0 / 2**0.5, -100.0 / 2**0.5, 100.0]))
    assert (above.azimuth_deg, above.height_deg, above.distance_mm) == pytest.approx((45.0, 45.0, 100.0 * 2**0.5))
    assert ground.eye_mm(above) == pytest.approx(ground.aim_mm + np.array([100.0 / 2**0.5, -100.0 / 2**0.5, 100.0]))


def test_without_a_front_photograph_front_is_the_mean_of_all() -> None:
    points = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]])
    # 30 deg to either side of -y: their mean is -y.
    eyes = 300.0 * np.array([[-0.5, -(0.75**0.5), 0.3], [0.5, -(0.75**0.5), 0.3]])
    ground = ground_of(state_of(eyes, np.array([0.0, 0.0, 1.0]), points), ("one", "two"), np.arange(3))
    assert ground.front == pytest.approx([0.0, -1.0, 0.0], abs=1e-9)


def test_a_card_that_stands_upright_does_not_turn_the_owner_on_his_side() -> None:
    # The card stands against the engine: x right, y up, z towards the owner, whose phone was held upright and level.
    points = np.array([[0.0, 0.0, 0.0], [60.0, 0.0, 0.0], [30.0, 40.0, 0.0]])
    eyes = np.array([[30.0, 20.0, 300.0], [-150.0, 20.0, 250.0]])
    ground = ground_of(state_of(eyes, np.array([0.0, 1.0, 0.0]), points), ("front", "two"), np.arange(3))
    assert ground.up == pytest.approx([0.0, 1.0, 0.0])
    assert ground.bearing(eyes[1]).azimuth_deg < -20.0


def test_two_standard_deviations_of_the_worst_direction_or_of_the_mean() -> None:
    need = Needed("pipe feed", "far end off", "", "mm", ("a",), np.eye(3), 0.5)
    covariance = np.diag([0.04, 0.01, 0.01])
    assert need.k2(covariance) == pytest.approx(0.4)  # 2 sqrt 0.04
    assert replace(need, mean=True).k2(covariance) == pytest.approx(2 * 0.02**0.5)  # mean variance 0.06 / 3
