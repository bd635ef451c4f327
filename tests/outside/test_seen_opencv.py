"""Outside: what is drawn over photographs lies where OpenCV's projectPoints puts it, and where the truth has it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import pytest

from backhead import TRUTH, folder, looked, survey, world_to_card
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.records import PipePlan
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts
from trialfit.parts.placement import Array
from trialfit.parts.records import Part
from trialfit.parts.solids import Capsule
from trialfit.sheets.seen.eye import Eye, eye_of, looking
from trialfit.sheets.seen.meshes import mesh_of
from trialfit.sheets.seen.over import cut_round, drawn_over, scaled_photograph
from trialfit.sheets.seen.over_photographs import pipes_over
from trialfit.survey.records import Survey

PHOTOGRAPHS = ("front", "left", "right", "above_left", "low", "near")


def _by_opencv(eye: Eye, points: Array) -> Array:
    camera = np.array([[eye.focal_px, 0, eye.centre_px[0]], [0, eye.focal_px, eye.centre_px[1]], [0, 0, 1.0]])
    turn, _ = cv2.Rodrigues(eye.turn)
    px, _ = cv2.projectPoints(points, turn, eye.shift_mm, camera, eye.lens)
    return np.asarray(px[:, 0])


def _wide_lens() -> Eye:
    placed = looking(
        np.array([40.0, -260.0, 150.0]), np.array([30.0, 20.0, 20.0]), np.array([0, 0, 1.0]), 900, (1200, 900)
    )
    return Eye(
        placed.turn,
        placed.shift_mm,
        900.0,
        np.array([611.0, 437.0]),
        np.array([-0.21, 0.07, 1e-3, -2e-3, 0.01]),
        (1200, 900),
    )


@pytest.mark.parametrize("place", [(-60.0, 0.0, -40.0), (120.0, 40.0, 90.0), (30.0, 20.0, 20.0), (-40.0, 60.0, 110.0)])
@pytest.mark.parametrize("long_side", [1200, 500])
def test_a_ball_is_drawn_where_opencv_projects_its_middle(place: tuple[float, float, float], long_side: int) -> None:
    """A ball of 1.5 mm at some 300 mm: its picture's middle is its middle's picture to a hundredth of a pixel."""
    at = np.array(place)
    grey, eye = scaled_photograph(np.full((900, 1200), 200, np.uint8), _wide_lens(), long_side)
    drawn = drawn_over(grey, eye, [mesh_of(Capsule(at, at, 1.5))])
    rows, columns = np.nonzero((drawn != 200).any(axis=2))
    expected = _by_opencv(_wide_lens(), at[None])[0]
    expected = (expected + 0.5) * long_side / 1200 - 0.5
    assert len(rows) > 8
    assert np.abs(np.array([columns.mean(), rows.mean()]) - expected).max() < 0.6


def test_part_of_a_photograph_is_seen_by_the_same_camera() -> None:
    points = np.array([[-20.0, 0, -10], [60, 30, 40], [20, 10, 80]])
    whole = np.zeros((900, 1200), np.uint8)
    for x, y in np.round(_by_opencv(_wide_lens(), points)).astype(int):
        whole[y, x] = 255
    part, eye = cut_round(whole, _wide_lens(), points)
    rows, columns = np.nonzero(part)
    assert part.shape == eye.size_px[::-1]
    there = _by_opencv(eye, points)
    assert sorted(zip(columns, rows, strict=True)) == sorted((round(x), round(y)) for x, y in there)


@dataclass(frozen=True)
class _Worked:
    survey: Survey
    parts: tuple[Part, ...]
    pipes: tuple[PipePlan, ...]

    @property
    def ends(self) -> EndsInPlace:
        return EndsInPlace(self.parts, self.survey)


@pytest.fixture(scope="module")
def worked() -> _Worked:
    job = folder().job
    parts = build_parts(job)
    return _Worked(survey(), parts, (wanted_pipe("feed", job.pipes["feed"], parts, survey(), assumed_shop()),))


@pytest.mark.parametrize("photograph", PHOTOGRAPHS)
def test_the_example_s_pipe_is_drawn_along_opencv_s_projection(worked: _Worked, photograph: str) -> None:
    """Fill under every projected point of the middle leg, and bare photograph half a tube and 2 mm to either side."""
    pipe = worked.pipes[0]
    grey = np.full(looked().sighted.photographs[photograph].grey.shape, 90, np.uint8)
    (over,) = pipes_over(worked, {photograph: grey})
    first, second = pipe.vertices_mm[1:3]
    spots = np.array([first + share * (second - first) for share in np.linspace(0.35, 0.65, 9)])
    px = _by_opencv(over.eye, spots)
    along = px[-1] - px[0]
    across = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    _, depth = over.eye.seen(spots)
    away = (pipe.tube.od_mm / 2 + 2.0) * over.eye.focal_px / depth.min()
    for x, y in np.round(px).astype(int):
        red, _, blue = over.picture[y, x].astype(int)
        assert red > blue + 50
    for sign in (-1.0, 1.0):
        for x, y in np.round(px + sign * away * across).astype(int):
            assert over.picture[y, x].tolist() == [90, 90, 90]


@pytest.mark.parametrize("photograph", PHOTOGRAPHS)
def test_its_ends_are_seen_where_the_true_camera_sees_the_true_faces(worked: _Worked, photograph: str) -> None:
    """The photographs were rendered with known cameras; 0.6 mm (k = 2) at 9 px a millimetre is some 6 px."""
    pipe = worked.pipes[0]
    view = TRUTH["views"][PHOTOGRAPHS.index(photograph)]
    turn, _ = cv2.Rodrigues(np.array(view["R"]))
    true = {target["name"]: np.array(target["p"]) for target in TRUTH["targets"]}
    ends = np.array([true["check_union.face"], to_world("tank_union.face")])
    expected, _ = cv2.projectPoints(ends, turn, np.array(view["t"]), np.array(view["K"]), np.array(view["dist"]))
    sighted = looked().sighted.photographs[photograph]
    station = next(each for each in survey().stations if each.photograph == photograph)
    eye = eye_of(station, (sighted.width_px, sighted.height_px))
    ours, _ = eye.seen(np.array([pipe.start.position_mm, pipe.end.position_mm]))
    inside = (expected[:, 0] < [sighted.width_px, sighted.height_px]).all(axis=1) & (expected[:, 0] > 0).all(axis=1)
    assert inside.tolist() == [True, photograph != "near"]
    assert np.abs(ours - expected[:, 0])[inside].max() < 8.0


def to_world(point: str) -> Array:
    """Where the job's known point lies in the truth's world frame."""
    known = folder().job.points[point].at
    assert known is not None
    turn, shift = world_to_card()
    return np.asarray((np.array([float(each.to("mm")) for each in known]) - shift) @ turn)
