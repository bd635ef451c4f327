"""Unit: what is said of a tube or a rim that cannot be found, and why; invented scenes with the trouble planted."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from outlined_scenes import TrueRim, TrueTube, outlined
from scenes import Scene, looking_at, scene
from trialfit.survey.outlines import Outlines, with_marks
from trialfit.survey.problem import FREE, State
from trialfit.survey.rim_start import rim_start
from trialfit.survey.tube_axis import Cannot
from trialfit.survey.tube_start import tube_start

Array = NDArray[np.float64]

STRAIGHT = np.array([[60.0, 150.0, 85.0], [62.0, 148.0, 45.0]])
SLANTED = np.array([0.5, -1.0, 0.4])


def _made(tube: TrueTube | None = None, rim: TrueRim | None = None, photographs: int = 4, **options: Any) -> Scene:
    rng = np.random.default_rng(11)
    tubes, rims = [tube] if tube else [], [rim] if rim else []
    return outlined(rng, scene(rng, photographs, 8, **options), tubes, rims)


def _tube(made: Scene, outlines: Outlines | None = None) -> Cannot:
    outlines = outlines or made.problem.outlines
    blank = replace(outlines, edge_side=np.zeros(len(outlines.edge_px)))
    found = tube_start(replace(made.problem, outlines=blank), made.truth)
    assert isinstance(found, Cannot)
    return found


def _rim(made: Scene, outlines: Outlines | None = None, free: bool = False) -> Cannot:
    problem = replace(made.problem, outlines=outlines or made.problem.outlines)
    found = rim_start(problem, made.truth, free, None)
    assert isinstance(found, Cannot)
    return found


def _some(outlines: Outlines, edges: Any = True, arcs: Any = True) -> Outlines:
    return with_marks(
        outlines,
        np.ones(len(outlines.edge_px), dtype=bool) & edges,
        np.ones(len(outlines.arc_px), dtype=bool) & arcs,
    )


def test_a_tube_nobody_marked() -> None:
    made = _made(TrueTube(STRAIGHT))
    said = _tube(made, _some(made.problem.outlines, edges=False))
    assert said == Cannot("No mark lies on its edges.", "Mark both its edges in two photographs or more.")


def test_a_tube_in_one_photograph() -> None:
    made = _made(TrueTube(STRAIGHT))
    outlines = made.problem.outlines
    said = _tube(made, _some(outlines, edges=outlines.edge_photograph == 2))
    assert said.because == (
        "It is seen along its edges in 1 photograph only: two are needed to tell which way it runs in depth."
    )
    assert said.do == ("Mark two places or more along each of its edges in a second photograph from well to one side.")


def test_one_edge_in_each_of_two_photographs() -> None:
    made = _made(TrueTube(STRAIGHT, per_edge=6), photographs=2, spread_deg=60.0)
    outlines = made.problem.outlines
    said = _tube(made, _some(outlines, edges=outlines.edge_side > 0))
    assert said.because == (
        "It has one edge marked, not both, in 2 of its two photographs, and nothing tells which of its two edges that "
        "is."
    )
    assert said.do == "Mark both edges in each of the two, or one edge in a third photograph."


def test_photographs_that_all_look_along_one_plane_through_the_tube() -> None:
    rng = np.random.default_rng(12)
    made = scene(rng, 2, 8)
    upright = np.array([[60.0, 150.0, 85.0], [60.0, 150.0, 45.0]])
    # Both eyes stand in the plane x = 60, which the tube lies in, one 150 mm above the other.
    poses = [looking_at(np.array([60.0, -200.0, z]), np.array([60.0, 150.0, 65.0]), 0.0) for z in (100.0, 250.0)]
    truth: State = replace(
        made.truth, rotations=np.array([r for r, _ in poses]), translations_mm=np.array([t for _, t in poses])
    )
    made = outlined(rng, Scene(made.problem, truth), [TrueTube(upright)])
    said = _tube(made)
    assert re.fullmatch(
        r"It is looked at from one side only: the planes through each photograph and its axis nearly fall together "
        r"\([0-3] deg\)\.",
        said.because,
    )
    assert said.do == "Mark its edges in a photograph from well to one side, across it rather than further along it."


def test_two_straight_lengths_in_one_line() -> None:
    run = np.array([2.0, -2.0, -40.0])
    in_line = np.stack([STRAIGHT[0] + share * run for share in (0.0, 0.6, 1.0)])
    # Numbered apart, so that the scene can walk round its bend: it turns by half a degree.
    in_line[2] += [0.2, 0.0, 0.0]
    made = _made(TrueTube(in_line, per_bend=0))
    said = _tube(made)
    assert said == Cannot(
        "Its straight lengths leg1 and leg2 lie in one line.", "Call them one straight length, with one bend less."
    )


def test_a_tube_of_another_size() -> None:
    made = _made(TrueTube(STRAIGHT))
    said = _tube(made, replace(made.problem.outlines, od_mm=np.array([9.5])))
    assert said.because == "The marks along its edges do not lie on one round tube of 9.50 mm."
    assert said.do == (
        "See that each straight length has the same name in every photograph, that nothing but its two edges is "
        "marked, and that the outside diameter is right."
    )


def test_a_rim_seen_edge_on() -> None:
    # A rim of 0.6 mm, as leaning as the scene allows: its shorter half axis is under four times the 1.5 px of a hand.
    made = _made(rim=TrueRim(0, np.array([1.0, -0.45, 0.0]), radius_mm=0.6))
    assert len(made.problem.outlines.arc_px)
    said = _rim(made)
    assert said.because == (
        "No photograph shows enough of its rim for an ellipse: it is seen nearly edge-on, or too little of it is "
        "marked."
    )


def test_a_rim_of_unknown_size_in_one_photograph() -> None:
    made = _made(rim=TrueRim(0, SLANTED, radius_sigma_mm=FREE))
    outlines = made.problem.outlines
    said = _rim(made, _some(outlines, arcs=outlines.arc_photograph == 1), free=True)
    assert said == Cannot(
        "Its face is seen in one photograph only and its diameter was not measured: a small one near by looks like a "
        "large one far away.",
        "Measure its diameter, or mark it in a second photograph from well to one side.",
    )


def test_a_rim_that_could_lean_two_ways() -> None:
    made = _made(rim=TrueRim(0, SLANTED))
    outlines = made.problem.outlines
    said = _rim(made, _some(outlines, arcs=outlines.arc_photograph == 0), free=True)
    assert re.fullmatch(r"Two ways for it to lean, \d+ deg apart, explain its marks equally well\.", said.because)
    assert said.do == "Mark it in a photograph from well to one side, or name another point on its axis."


def test_another_point_on_its_axis_tells_which_way_it_leans() -> None:
    made = _made(rim=TrueRim(0, SLANTED))
    outlines = made.problem.outlines
    one = _some(outlines, arcs=outlines.arc_photograph == 0)
    found = rim_start(replace(made.problem, outlines=one), made.truth, True, SLANTED / np.linalg.norm(SLANTED))
    assert not isinstance(found, Cannot)
    # One photograph leaves a lean of several degrees; the other way to lean would be tens of degrees off.
    normal = found[1].outlined.normals[0]
    assert normal @ SLANTED / np.linalg.norm(SLANTED) > np.cos(np.radians(15.0))


def test_marks_on_two_different_rims() -> None:
    one, other = _made(rim=TrueRim(0, SLANTED)), _made(rim=TrueRim(0, np.array([-0.6, -1.0, -0.2]), radius_mm=9.0))
    mixed = one.problem.outlines.arc_px.copy()
    first = one.problem.outlines.arc_photograph < 2
    mixed[first] = other.problem.outlines.arc_px[first]
    said = _rim(one, replace(one.problem.outlines, arc_px=mixed))
    assert said == Cannot(
        "The marks round it do not lie on one circle, in one photograph or from photograph to photograph.",
        "See that one and the same edge is marked everywhere (not a chamfer's other edge, nor a hexagon), and that its "
        "diameter is right.",
    )
