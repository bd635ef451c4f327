"""Recover: the old pipes' routes and a bush's face, from marks on their edges in the example's six photographs.

The marks (photographs/backhead/edges.json, which says how they were made) stand where the photographs show the edges,
with a hand's slip of 1.5 px. They are compared with the truth the photographs were rendered from.
"""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from backhead import TRUTH, folder, looked, to_card, true_points, world_to_card
from backhead import survey as by_marks_alone
from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.job.write import write_job
from trialfit.parts.build import build_parts, find_port
from trialfit.parts.place import two_faces
from trialfit.survey.findings import survey_findings
from trialfit.survey.outline_records import SurveyedTube
from trialfit.survey.records import Survey
from trialfit.survey.solve import survey_of

Array = NDArray[np.float64]

MARKED: dict[str, Any] = json.loads((Path(__file__).parents[1] / "photographs" / "backhead" / "edges.json").read_text())
PIPES = {pipe["name"]: pipe for pipe in TRUTH["pipes"]}


def _reading(value: str, pm: str) -> dict[str, str]:
    return {"value": value, "pm": pm, "by": "workshop, micrometer"}


@cache
def job() -> Job:
    """The example with two old pipes and the empty bush's face and bore marked, their sizes not measured."""
    document = tomllib.loads(write_job(folder().job))
    names = {entry.file: name for name, entry in folder().job.photographs.items()}
    document["tubes"] = {
        "feed_pipe": {"od": _reading("4.76 mm", "0.04 mm"), "bends": 2},
        "gauge_pipe": {"od": _reading("3.17 mm", "0.04 mm"), "bends": 2},
    }
    document["edges"] = {
        names[file]: {pipe: pieces for pipe, pieces in pipes.items() if pipe in document["tubes"]}
        for file, pipes in MARKED["edges"].items()
    }
    document["points"]["bare_bush.bore"] = {"what": "middle of the bore's edge in its face"}
    document["rims"] = {
        "bush_rim": {"centre": "bare_bush.face"}, "bush_bore": {"centre": "bare_bush.bore"}
    }  # fmt: skip
    document["rim_marks"] = {
        names[file]: {"bush_rim": rims["bare_bush"], "bush_bore": rims["bare_bush_bore"]}
        for file, rims in MARKED["rims"].items()
        if rims
    }
    document["parts"]["bush"] = {
        "kind": "bush",
        "ports": {"thread": {"face": "bare_bush.face", "axis_of": "bush_rim"}},
    }
    return Job.model_validate(document)


@cache
def survey() -> Survey:
    """Its survey."""
    return survey_of(job(), looked().sighted)


def _tube(name: str) -> SurveyedTube:
    return next(tube for tube in survey().tubes if tube.name == name)


def _true_ways(name: str) -> Array:
    ways = np.diff(to_card(PIPES[name]["control"]), axis=0)
    return np.asarray(ways / np.linalg.norm(ways, axis=1)[:, None])


def _lean_deg(one: Any, other: Any) -> float:
    return float(np.degrees(np.arccos(np.clip(np.dot(one, other), -1.0, 1.0))))


@pytest.mark.parametrize("name", ["feed_pipe", "gauge_pipe"])
def test_route_of_an_old_pipe(name: str) -> None:
    tube, true = _tube(name), to_card(PIPES[name]["control"])
    for vertex, k2, at in zip(tube.vertices_mm[1:-1], tube.vertices_k2_mm[1:-1], true[1:-1], strict=True):
        off = np.subtract(vertex, at)
        print(f"{name}: corner out by {np.round(off, 2)} mm, claimed {np.round(k2, 2)}")
        # 1.3 of k = 2 is once in a hundred by chance.
        assert (np.abs(off) < 1.3 * np.array(k2)).all()
        assert np.linalg.norm(off) < 0.6
    # The ends slide along the pipe: only how far they lie beside it can be wrong.
    for vertex, at, way in ((tube.vertices_mm[0], true[0], _true_ways(name)[0]),
                            (tube.vertices_mm[-1], true[-1], _true_ways(name)[-1])):  # fmt: skip
        assert np.linalg.norm(np.cross(np.subtract(vertex, at), way)) < 0.4
    for bend, truth in zip(tube.bends, PIPES[name]["bends"], strict=True):
        off_deg = bend.angle_deg - truth["angle_deg"]
        print(f"{bend.name}: {bend.angle_deg:.1f} deg, out by {off_deg:.1f}, claimed {bend.k2_deg:.1f}")
        assert abs(off_deg) < 1.3 * bend.k2_deg
        assert bend.k2_deg < 2.0
    for leg, way in zip(tube.legs, _true_ways(name), strict=True):
        assert _lean_deg(leg.direction, way) < 1.5 * leg.k2_deg
    assert tube.bend_radius_mm is not None
    assert tube.bend_radius_k2_mm is not None
    off_mm = tube.bend_radius_mm - PIPES[name]["bend_radius"]
    print(f"{name}: bend radius out by {off_mm:.2f} mm, claimed {tube.bend_radius_k2_mm:.2f}")
    assert abs(off_mm) < 1.3 * tube.bend_radius_k2_mm
    assert tube.bend_radius_k2_mm < 0.6


def test_the_way_the_empty_bush_faces() -> None:
    target = next(t for t in TRUTH["targets"] if t["name"] == "bare_bush.face")
    true = world_to_card()[0] @ np.array(target["axis"])
    for rim in survey().rims:
        lean = _lean_deg(rim.axis.direction, true)
        print(f"{rim.axis.name}: leans {lean:.1f} deg, claimed {rim.axis.k2_deg:.1f}")
        assert lean < 1.3 * rim.axis.k2_deg
        at = survey().points[survey().index(rim.centre)]
        assert (np.abs(np.subtract(at.position_mm, to_card(target["p"]))) < 1.3 * np.array(at.k2_mm)).all()
    face, bore = survey().rims
    # The bore is 6.35 mm across; the face's edge that shows is inside its chamfer, 12.7 mm across at its foot.
    assert abs(2 * bore.radius_mm - 6.35) < 1.3 * 2 * bore.radius_k2_mm
    assert 11.0 < 2 * face.radius_mm < 12.7


def test_points_are_no_worse_for_it() -> None:
    truth = true_points()
    rms = []
    for found in (by_marks_alone(), survey()):
        points = [point for point in found.points if point.name in truth]
        off = np.array([np.subtract(point.position_mm, truth[point.name]) for point in points])
        k2 = np.array([point.k2_mm for point in points])
        assert (np.abs(off) < k2).mean() > 0.9
        rms.append(float(np.sqrt((off**2).mean())))
    print(f"points out by {rms[0]:.3f} mm rms by their marks alone, {rms[1]:.3f} with edges and rims")
    assert rms[1] < 1.1 * rms[0]


def test_no_good_mark_is_set_aside() -> None:
    assert [suspect.what for suspect in survey().suspects] == []
    assert not [left.name for left in survey().left_out if left.name.startswith(("tube", "rim"))]


def test_a_port_faces_as_the_rim_does() -> None:
    parts = build_parts(job())
    ports = find_port(parts, "bush.thread"), find_port(parts, "check_valve.inlet")
    face, _, covariance = two_faces(survey(), *ports)
    assert tuple(face.direction) == survey().rims[0].axis.direction
    k2_deg = np.degrees(2.0 * np.sqrt(np.linalg.eigvalsh(covariance[3:6, 3:6])[-1]))
    assert k2_deg == pytest.approx(survey().rims[0].axis.k2_deg)


def test_what_cannot_be_found_is_left_out_and_said_so() -> None:
    document = tomllib.loads(write_job(job()))
    document["edges"] = {"front": document["edges"]["front"]}
    document["rim_marks"] = {"right": {"bush_rim": document["rim_marks"]["right"]["bush_rim"]}}
    poorer = Job.model_validate(document)
    found = survey_of(poorer, looked().sighted)
    assert not (found.tubes or found.rims or found.axes)
    left = {each.name: each.because for each in found.left_out}
    assert left["tube feed_pipe"] == (
        "Its straight length leg1 is seen along its edges in 1 photograph only: two are needed to tell which way it "
        "runs in depth."
    )
    assert left["rim bush_rim"].startswith("Two ways for it to lean, ")
    assert left["rim bush_bore"] == "No photograph has marks round it."
    assert "bare_bush.bore" in left
    with pytest.raises(Refusal, match=r"^rim bush_rim: got a rim the survey could not fix, wanted a fixed rim\."):
        found.joint(["bush_rim"])
    asked = {finding.about for finding in survey_findings(poorer, found, looked().sighted)}
    assert {"tube feed_pipe", "tube gauge_pipe", "rim bush_rim", "rim bush_bore"} <= asked


def test_a_chamfer_measured_over_is_noticed() -> None:
    # 12.7 mm is what a caliper reads over the bush; the edge that shows on its face is inside its chamfer.
    document = tomllib.loads(write_job(job()))
    document["rims"] = {"bush_rim": {"centre": "bare_bush.face", "diameter": _reading("12.7 mm", "0.1 mm")}}
    for marks in document["rim_marks"].values():
        marks.pop("bush_bore", None)
    measured_over = Job.model_validate(document)
    found = survey_of(measured_over, looked().sighted)
    asked = {finding.about: finding for finding in survey_findings(measured_over, found, looked().sighted)}
    assert asked["radius measured of bush_rim"].do == (
        "See that the edge that was marked is the one that was measured: a chamfer has two. If in doubt leave the "
        "measured size out."
    )
