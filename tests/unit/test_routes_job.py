"""Unit: what a job says of a pipe's surroundings reaches its way; whole sentences are typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.fitup.landing import survey_strays
from trialfit.fitup.records import EndFace
from trialfit.fitup.route_records import NutBack
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.surroundings import clearance_mm, ends_of, surroundings_of
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.records import Job
from trialfit.job.references import reference_faults
from trialfit.job.shop import Shop, assumed_shop
from trialfit.parts.build import build_parts
from trialfit.parts.placement import Placement
from trialfit.parts.records import Array
from trialfit.parts.solids import Box, Capsule, Hexagon, Solid

SHOP = assumed_shop()
FACES = (
    EndFace("valve.inlet", np.zeros(3), np.array([1.0, 0, 0]), 14.0, 6.5),
    EndFace("tank.face", np.array([100.0, 100, 100]), np.array([0, 0, -1.0]), 14.0, 3.5),
)


@dataclass(frozen=True)
class Known:
    """Points known exactly: a box 100 mm a side, the start looking along x, the end down z."""

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        at = {"v": (0, 0, 0), "v.back": (-30, 0, 0), "t": (100, 100, 100), "t.back": (100, 100, 130)}
        return np.array([at[name] for name in names], dtype=np.float64), np.zeros((3 * len(names), 3 * len(names)))


def document(**pipe: Any) -> dict[str, Any]:
    ends = {
        "start": {"port": "valve.inlet", "straight": "14 mm", "enters": "6.5 mm"},
        "end": {"port": "tank.face", "straight": "14 mm", "enters": "3.5 mm"},
    }
    nut = {"kind": "union nut"}
    return {
        "format": 1,
        "job": {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"},
        "engine": {"name": "Bittern", "working_pressure": "80 psi"},
        "points": {name: {} for name in ("v", "v.back", "t", "t.back")},
        "parts": {
            "valve": {"kind": "check valve", "ports": {"inlet": {"face": "v", "axis_from": "v.back"}}},
            "tank": {"kind": "union body", "ports": {"face": {"face": "t", "axis_from": "t.back"}}},
            "cone": {"kind": "union cone"},
            "nut": nut,
            "gauge_nut": nut,
            "lost_cock": {"kind": "cock"},
        },
        "joints": [
            {"a": "cone.seat", "b": "valve.inlet"},
            {"a": "nut.thread", "b": "valve.inlet"},
            {"a": "feed.start", "b": "cone.socket"},
        ],
        "pipes": {"feed": {"tube": {"od": "3/16 in", "wall": "22 swg"}, "file_allowance": "0.5 mm", **ends, **pipe}},
    }


def job_of(**pipe: Any) -> Job:
    return Job.model_validate(document(**pipe))


def thing(name: str, kind: Any, *solids: Solid) -> Thing:
    return Thing(name, name, kind, tuple(Piece(f"piece{k}", each) for k, each in enumerate(solids)))


def nut_at(name: str, x: float, y: float) -> Thing:
    """A nut 10 mm across flats and 8 long, its axis along z."""
    return thing(name, "part", Hexagon(np.array([x, y, -4.0]), np.array([x, y, 4.0]), 10.0, np.array([1.0, 0, 0])))


BOILER = thing("boiler", "engine", Box(np.array([50.0, -60, 50]), np.eye(3), np.array([200.0, 20, 200])))
SCENE = Scene(
    (
        BOILER,
        thing("valve", "part", Capsule(np.array([-20.0, 0, 0]), np.array([-6.2, 0, 0]), 5.0)),
        nut_at("nut", 5.0, 0.0),
        nut_at("gauge_nut", 60.0, 40.0),
        thing("stump", "old pipe", Capsule(np.array([5.0, 0, 0]), np.array([40.0, 0, 0]), 2.0)),
        thing("blower", "old pipe", Capsule(np.array([0.0, 90, 0]), np.array([40.0, 90, 0]), 2.0)),
        thing("feed", "pipe", Capsule(np.array([0.0, 0, 0]), np.array([40.0, 0, 0]), 2.0)),
    )
)


def test_a_pipe_is_held_against_all_but_itself_its_own_nuts_and_the_pipe_it_replaces() -> None:
    job = job_of(lagging="1.5 mm")
    around = surroundings_of("feed", job.pipes["feed"], FACES, SCENE, build_parts(job), job.joints, SHOP)
    names = [each.words for each in around.around.obstacles]
    assert names == ["boiler", "valve", "gauge_nut", "blower", "the room for a spanner on gauge_nut"]
    by_name = {each.words: each for each in around.around.obstacles}
    assert by_name["valve"].near == "start"
    # 2 mm assumed and 1.5 of lagging; a spanner's head may be touched.
    assert by_name["boiler"].needs_mm == pytest.approx(3.5)
    assert by_name["the room for a spanner on gauge_nut"].needs_mm == 0
    # Its head: half of 2.2 times 10 mm across flats; a usual 10 mm spanner is 130 mm long.
    head = by_name["the room for a spanner on gauge_nut"].solid
    assert getattr(head, "radius_mm", 0.0) == pytest.approx(11.0)
    assert {swing.nut: swing.grip.spanner.length_mm for swing in around.swings} == {"gauge_nut": 130.0}
    # The pipe's own nut has no window whatever the pipe does. The boiler takes what is below; the valve takes
    # asin(9 / 11.2) = 53 deg either side of its axis; what is left, -17 to 127 deg, is parted by the gauge nut,
    # asin(9.8 / 68) = 8 deg either side of 36, and by the blower pipe, 69 to 93 deg and asin(6 / 90) = 4 more each end.
    assert around.no_swing == ("nut",)
    assert around.unknown == ("lost_cock",)
    assert around.assumed
    assert around.around.let_in_mm == (14.0, 14.0)


def test_whose_nuts_and_cones_are_a_pipe_s_own() -> None:
    job = job_of()
    ends = ends_of("feed", job.pipes["feed"], build_parts(job), job.joints)
    assert (ends.start, ends.end, ends.own) == ("valve", "tank", frozenset({"cone", "nut"}))


def test_the_clearance_is_the_pipe_s_then_the_shop_s_then_assumed() -> None:
    shop = Shop.model_validate({**SHOP.model_dump(exclude={"clearance"}), "clearance": "3 mm"})
    assert clearance_mm(job_of(clearance="1 mm").pipes["feed"], shop) == (1.0, False)
    assert clearance_mm(job_of().pipes["feed"], shop) == (3.0, False)
    assert clearance_mm(job_of().pipes["feed"], SHOP) == (2.0, True)


def test_a_body_in_the_way_sends_the_pipe_round_it() -> None:
    """The free way lies in the planes y = 0 and x = 100; a block on its middle straight is named, and cleared."""
    job = job_of()
    free = wanted_pipe("feed", job.pipes["feed"], build_parts(job), Known(), SHOP)
    middle = (free.vertices_mm[1] + free.vertices_mm[2]) / 2
    block = thing("water_gauge", "engine", Box(middle, np.eye(3), np.array([6.0, 6, 6])))
    scene = Scene((*SCENE.things, block))
    pipe = wanted_pipe("feed", job.pipes["feed"], build_parts(job), Known(), SHOP, scene, job.joints)
    assert "water_gauge" in pipe.routing.stopped[-1].sentence
    assert pipe.centre_line.value > free.centre_line.value
    gaps = {each.by: each.gap.value for each in pipe.routing.passes}
    assert gaps["water_gauge"] >= 2.0 - 0.05
    assert min(each.gap.value - each.wanted.value for each in pipe.routing.passes) >= -0.05


def test_an_old_pipe_that_is_not_there_is_a_fault_with_the_nearest_name() -> None:
    written = {**document(like="old_fed"), "tubes": {"old_feed": {"od": {}}}}
    (fault,) = [each for each in reference_faults(written) if each.path == ("pipes", "feed", "like")]
    assert (fault.got, fault.remedy) == ('"old_fed"', 'Did you mean "old_feed"?')
    job = job_of(like="old_feed")
    with pytest.raises(Refusal) as refused:
        wanted_pipe("feed", job.pipes["feed"], build_parts(job), Known(), SHOP)
    assert refused.value.fault.what == "pipe feed, like old_feed"
    assert refused.value.fault.got == "a tube the survey could not fix"


def test_a_nearly_straight_pipe_is_not_rolled_to_bring_its_end_nearer() -> None:
    """An end 2 mm off the first axis, known to 0.2 mm (one sigma) aside: rolled, it would take 6 deg for every sigma.

    Left as it is it strays by 2 x 0.2 in the worst direction; a lever of 2 mm rolls nothing to any purpose.
    """
    start = EndFace("a", np.zeros(3), np.array([1.0, 0, 0]), 14.0, 0.0)
    end = EndFace("b", np.array([100.0, 2, 0]), np.array([-1.0, 0, 0]), 14.0, 0.0)
    covariance = np.zeros((12, 12))
    covariance[8, 8] = 0.2**2
    assert survey_strays(start, end, covariance).off_mm == pytest.approx(0.4, abs=1e-9)


@pytest.mark.parametrize(("beside_mm", "said"), [(9.0, True), (12.0, False)])
def test_a_nut_that_has_no_room_to_be_slid_back_is_named(beside_mm: float, said: bool) -> None:
    """A wall beside the start's straight: 10 mm across flats is 5.77 from middle to corner; the wall 5 or 8 mm off.

    A wall from 9 - 4 = 5 mm stands 0.77 mm in the nut's corners; one from 8 mm on is clear of them.
    """
    along = np.array([1.0, 0, 0])
    hexagon = Hexagon(np.array([-4.0, 0, 0]), np.array([2.0, 0, 0]), 10.0, np.array([0, 1.0, 0]))
    place = Placement("valve", "job", np.eye(3), np.array([-20.0, 0, 0]))
    valve = Thing("valve", "valve", "part", (Piece("body", Capsule(-20 * along, -18 * along, 3.0)),), place)
    nut = Thing("nut", "nut", "part", (Piece("hexagon", hexagon),), None, None, ("valve",))
    wall = thing("frame", "engine", Box(np.array([30.0, beside_mm, 0]), np.eye(3), np.array([29.0, 4, 50])))
    job = job_of()
    scene = Scene((wall, valve, nut))
    back = NutBack("nut", "start", "valve.inlet", 6.0, 8.0, 10.0, (4.9, 4.9), Basis.MEASURED)
    parts = build_parts(job)
    around = surroundings_of("feed", job.pipes["feed"], FACES, scene, parts, job.joints, SHOP, backs=[back])
    assert around.nuts == (("nut, slid back off its thread, stands 0.8 mm inside frame",) if said else ())
