"""Recover: the example's six photographs against the truth they were made from.

The photographs were rendered with a known camera, lens distortion, refocusing between shots, grain and JPEG; the marks
carry a hand's slip of 1.5 px. The truth is read here and nowhere else.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from backhead import TRUTH, folder, survey, to_card, true_points


def test_marked_points_lie_within_their_claimed_k2() -> None:
    truth = true_points()
    points = [point for point in survey().points if point.name in truth]
    assert len(points) == 12, "twelve points are marked in two photographs or more"
    inside = [
        abs(ours - true) <= k2
        for point in points
        for ours, true, k2 in zip(point.position_mm, truth[point.name], point.k2_mm, strict=True)
    ]
    print(f"backhead: {sum(inside)} of {len(inside)} coordinates within their claimed k = 2")
    assert sum(inside) >= 0.9 * len(inside)


def test_distances_between_points() -> None:
    truth = true_points()
    points = [point for point in survey().points if point.name in truth]
    off = [
        abs(np.linalg.norm(np.subtract(a.position_mm, b.position_mm)) - np.linalg.norm(truth[a.name] - truth[b.name]))
        for a, b in combinations(points, 2)
    ]
    print(f"backhead: {len(off)} distances, 95 in 100 within {np.percentile(off, 95):.2f} mm, worst {max(off):.2f} mm")
    assert np.percentile(off, 95) < 0.5


def test_points_seen_once_are_left_out_and_said_so() -> None:
    # marks.json: crown.face, blower_wheel.face and blowdown_pipe.end are each marked in one photograph.
    once = {left.name for left in survey().left_out if "one photograph only" in left.because}
    assert once == {"crown.face", "blower_wheel.face", "blowdown_pipe.end"}


def test_cameras_stand_where_they_stood() -> None:
    truth = {view["file"]: view for view in TRUTH["views"]}
    files = {name: entry.file for name, entry in folder().job.photographs.items()}
    for station in survey().stations:
        view = truth[files[station.photograph]]
        eye = to_card(-np.array(view["R"]).T @ np.array(view["t"]))
        ours = -station.rotation.T @ station.translation_mm
        # Focal length and range trade against each other: 0.4 % of 350 mm.
        assert np.linalg.norm(eye - ours) < 2.0, station.photograph
        assert abs(station.focal_px - view["K"][0][0]) < 15.0, station.photograph


def test_the_direction_of_the_check_union() -> None:
    # Its truth is the axis of the check valve's union face in truth.json, turned into the card's frame.
    target = next(t for t in TRUTH["targets"] if t["name"] == "check_union.face")
    true = to_card(np.array(target["p"]) + np.array(target["axis"])) - to_card(target["p"])
    (face, cap), _ = survey().joint(["check_union.face", "check_cap.face"])
    ours = (face - cap) / np.linalg.norm(face - cap)
    off_deg = float(np.degrees(np.arccos(np.clip(ours @ true, -1.0, 1.0))))
    print(f"backhead: the check union's direction is out by {off_deg:.2f} deg")
    assert off_deg < 1.5
