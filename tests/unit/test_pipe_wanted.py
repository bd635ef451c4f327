"""Unit: a wanted pipe is laid out with what the job, the survey and the shop say; the expected figures are typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.fitup.wanted import former_for, wanted_pipe
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts
from trialfit.parts.records import Array

SHOP = Shop.model_validate(
    {
        "name": "w",
        "formers": [
            {"od": "3/16 in", "radius": "19 mm", "grip": "12 mm"},
            {"od": "3/16 in", "radius": "12.7 mm", "grip": "10 mm", "springs_back": "3.6 deg"},
            {"od": "1/4 in", "radius": "12.7 mm", "grip": "9 mm"},
        ],
        "scatter": {"length": "0.6 mm", "bend": "2 deg", "rotation": "4 deg"},
    }
)


@dataclass(frozen=True)
class Known:
    """Points known exactly: a box 100 mm a side, the start looking along x, the end down z."""

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        at = {"v": (0, 0, 0), "v.back": (-30, 0, 0), "t": (100, 100, 100), "t.back": (100, 100, 130)}
        return np.array([at[name] for name in names], dtype=np.float64), np.zeros((3 * len(names), 3 * len(names)))


def job_of(**pipe: Any) -> Job:
    ends = {
        "start": {"port": "valve.inlet", "straight": "14 mm", "enters": "6.5 mm"},
        "end": {"port": "tank.face", "straight": "13 mm", "enters": "3.5 mm"},
    }
    return Job.model_validate(
        {
            "format": 1,
            "job": {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"},
            "engine": {"name": "Bittern", "working_pressure": "80 psi"},
            "points": {name: {} for name in ("v", "v.back", "t", "t.back")},
            "parts": {
                "valve": {"kind": "check valve", "ports": {"inlet": {"face": "v", "axis_from": "v.back"}}},
                "tank": {"kind": "union body", "ports": {"face": {"face": "t", "axis_from": "t.back"}}},
            },
            "pipes": {
                "feed": {"tube": {"od": "3/16 in", "wall": "22 swg"}, "file_allowance": "0.5 mm", **ends, **pipe}
            },
        }
    )


def test_a_wanted_pipe_takes_each_figure_from_where_it_stands() -> None:
    job = job_of()
    plan = wanted_pipe("feed", job.pipes["feed"], build_parts(job), Known(), SHOP)
    assert (plan.start.name, plan.end.name) == ("valve.inlet", "tank.face")
    assert (plan.start.straight_mm, plan.end.straight_mm) == (14.0, 13.0)
    assert (plan.start.enters_mm, plan.end.enters_mm, plan.file_allowance_mm) == (6.5, 3.5, 0.5)
    # 3/16 in; 22 swg is 0.028 in; the smallest former of the tube, and its test piece: 3.6 in 90 is 4 %.
    assert (plan.tube.od_mm, plan.tube.wall_mm, plan.radius_mm) == pytest.approx((4.7625, 0.7112, 12.7))
    assert plan.bends[0].set_to is not None
    assert plan.bends[0].set_to.value == pytest.approx(1.04 * plan.bends[0].angle.value)
    # The straights at the faces come out as asked for: 14 + 6.5 before the first bend, 13 + 3.5 + 0.5 after the last.
    assert str(plan.bends[0].feed) == "20.50 mm"
    assert str(plan.last_straight) == "17.00 mm"


def test_another_radius_has_no_test_piece() -> None:
    job = job_of(bend_radius="14 mm")
    plan = wanted_pipe("feed", job.pipes["feed"], build_parts(job), Known(), SHOP)
    assert plan.radius_mm == 14.0
    assert plan.bends[0].set_to is None


def test_the_former_is_the_one_of_the_tube_with_the_nearest_radius() -> None:
    assert former_for(4.76, None, SHOP).grip.written == "10 mm"
    assert former_for(4.76, 18.0, SHOP).grip.written == "12 mm"
    with pytest.raises(Refusal) as refused:
        former_for(7.9375, None, SHOP, "pipe feed")
    assert str(refused.value) == (
        "pipe feed, former: got none for 7.94 mm tube, wanted a former of the tube's outside diameter. "
        "Add the former to the shop, with its radius and the straight it needs."
    )
