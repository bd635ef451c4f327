"""Unit: parts with their ports from the job, and the whole text of each refusal; the expected words are typed here."""

from __future__ import annotations

import re
from typing import Any, get_args

import pytest

from trialfit.errors import Refusal
from trialfit.job.ports import KINDS
from trialfit.job.records import Job, Kind
from trialfit.parts.build import build_joints, build_parts, find_port
from trialfit.parts.records import Seat

PIPE = {
    "tube": {"od": "3/16 in", "wall": "22 swg"},
    "start": {"port": "valve.inlet", "straight": "14 mm", "enters": "6 mm"},
    "end": {"port": "body.face", "straight": "14 mm", "enters": "3 mm"},
    "file_allowance": "0.5 mm",
}


def job_of(parts: dict[str, Any], **more: Any) -> Job:
    card = {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"}
    engine = {"name": "Bittern", "working_pressure": "80 psi"}
    return Job.model_validate({"format": 1, "job": card, "engine": engine, "parts": parts, **more})


def test_every_kind_of_the_job_has_ports_with_unit_directions() -> None:
    assert set(KINDS) == set(get_args(Kind))
    for ports in KINDS.values():
        assert len({port.name for port in ports}) == len(ports) > 0
        assert all(sum(axis * axis for axis in port.direction) == 1 for port in ports)
    # Only a handle, its pin and the spindle they sit on are merely held.
    dry = {port.name for ports in KINDS.values() for port in ports if not port.may_have}
    assert dry == {"spindle", "hub", "pin_hole", "end", "stem"}


def test_a_part_has_all_ports_of_its_kind_and_what_is_given_of_them() -> None:
    seat = {"kind": "cone", "gender": "female", "angle": "60 deg"}
    given = {
        "thread": "1/4 x 40", "gender": "male", "seat": seat, "face": "v.face", "axis_from": "v.cap",
        "direction": [0, -1, 0],
    }  # fmt: skip
    (valve,) = build_parts(job_of(
        {"valve": {"kind": "check valve", "metal": "CW614N", "ports": {"inlet": given}}},
        points={"v.face": {}, "v.cap": {}},
    ))  # fmt: skip
    assert [port.full_name for port in valve.ports] == ["valve.inlet", "valve.outlet", "valve.cap"]
    inlet, outlet, _ = valve.ports
    assert inlet.thread is not None
    assert (inlet.thread.designation, inlet.gender) == ("1/4x40", "male")
    assert inlet.seat == Seat("cone", "female", 60.0)
    assert (inlet.face, inlet.axis_from, inlet.direction) == ("v.face", "v.cap", (0, -1, 0))
    assert (outlet.has, outlet.direction) == (frozenset(), (1.0, 0.0, 0.0))


def test_a_nut_is_female_without_being_told_and_its_hole_is_a_clearance() -> None:
    (nut,) = build_parts(job_of({"nut": {"kind": "union nut", "ports": {"thread": {"thread": "1/4x40"}}}}))
    assert nut.port("thread").gender == "female"
    assert nut.port("hole").bore_is == "clearance hole"


def test_a_wanted_pipe_is_a_part_with_the_tube_at_both_ends() -> None:
    *_, pipe = build_parts(job_of({}, pipes={"feed": PIPE}))
    assert (pipe.name, pipe.kind, pipe.metal) == ("feed", "pipe", "CW024A")
    # 3/16 in = 4.7625 mm
    assert [(port.name, port.tube_mm) for port in pipe.ports] == [("start", 4.7625), ("end", 4.7625)]


def test_everything_wrong_with_the_ports_is_said_at_once() -> None:
    parts = {
        "nut": {"kind": "union nut", "ports": {
            "tread": {"thread": "1/4x40"}, "hole": {"thread": "1/4x40"},
            "thread": {"thread": "1/4x40", "gender": "male"},
        }},
        "valve": {"kind": "check valve", "ports": {"drain": {}}},
        "cone": {"kind": "union cone", "ports": {"seat": {"seat": {"kind": "cone", "gender": "female"}}}},
        "bend": {"kind": "elbow", "ports": {"side": {}}},
        "tee": {"kind": "tee", "ports": {"branch": {"thread": "1/4x41"}}},
    }  # fmt: skip
    with pytest.raises(Refusal) as refused:
        build_parts(job_of(parts))
    assert str(refused.value).splitlines() == [
        'part nut, a union nut: got the port "tread", wanted thread or hole. Did you mean "thread"?',
        "part nut, port hole: got a thread, wanted only socket on this port of a union nut. "
        "Take it out, or put it on the port it belongs to.",
        "part nut, port thread: got a male thread, wanted a female thread, as every union nut has. "
        "Call it female, or call the part by another kind.",
        'part valve, a check valve: got the port "drain", wanted inlet, outlet or cap. '
        "A check valve has inlet, outlet and cap.",
        "part cone, port seat: got a female seat, wanted a male seat, as every union cone has. "
        "Call it male, or call the part by another kind.",
        'part bend, an elbow: got the port "side", wanted inlet or outlet. An elbow has inlet and outlet.',
        "part tee, port branch, thread: got 1/4x41, wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 or "
        "1/4-20 UNC. The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF.",
    ]


def test_joints_to_ports_that_are_not_there_are_all_named() -> None:
    joints = [{"a": "valve.inlte", "b": "feed.start"}, {"a": "valves.inlet", "b": "feed.end"}]
    job = job_of({"valve": {"kind": "check valve"}}, pipes={"feed": PIPE}, joints=joints)
    with pytest.raises(Refusal) as refused:
        build_joints(job, build_parts(job))
    assert str(refused.value).splitlines() == [
        'part valve, a check valve: got the port "inlte", wanted inlet, outlet or cap. Did you mean "inlet"?',
        'port valves.inlet: got the part "valves", wanted a part that is there. Did you mean "valve"?',
    ]


def test_a_part_with_a_dot_in_its_name_is_found() -> None:
    parts = build_parts(job_of({"left.valve": {"kind": "check valve"}}))
    assert find_port(parts, "left.valve.cap").full_name == "left.valve.cap"
    with pytest.raises(Refusal, match=re.escape('got the part "boiler", wanted a part that is there.')):
        find_port(parts, "boiler.face")
