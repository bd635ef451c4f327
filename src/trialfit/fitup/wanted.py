"""The pipes a job wants, laid out on its survey with the shop's formers.

Source: `trialfit.fitup.pipe`; everything here is looked up in the job and the shop.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from math import isclose

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.corners import Bender
from trialfit.fitup.hand_spanner import Spanners
from trialfit.fitup.landing import scatter_of
from trialfit.fitup.old_route import OldTube
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.placed_ends import PlacedEnds
from trialfit.fitup.records import EndFace, PipePlan, TubeStock
from trialfit.fitup.route_records import NutBack
from trialfit.fitup.scene import Scene
from trialfit.fitup.slide_back import nuts_back, rooms_of, with_room
from trialfit.fitup.surroundings import surroundings_of
from trialfit.job.records import Joint, PipeEnd, PipeEntry
from trialfit.job.shop import Former, Shop
from trialfit.parts.build import find_port
from trialfit.parts.place import Surveyed, two_faces
from trialfit.parts.records import FaceAt, Part
from trialfit.survey.records import Survey
from trialfit.tables.gauges import wall_mm

_SAME_MM = 0.03


def wanted_pipe(
    name: str,
    entry: PipeEntry,
    parts: Iterable[Part],
    survey: Surveyed,
    shop: Shop,
    scene: Scene | None = None,
    joints: Iterable[Joint] = (),
    spanners: Spanners = Spanners(),  # noqa: B008  nothing changes it
    only_try: bool = False,
) -> PipePlan:
    """Lay out one pipe that a job wants.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    parts
        The job's parts, built.
    survey
        The surveyed points, with the ends that only their parts' places give.
    shop
        The workshop that bends it.
    scene
        What stands on the engine; None where it is not to be heeded.
    joints
        The job's joints, which say whose nuts and cones are the pipe's own.
    spanners
        The spanners there are, for the nuts along its way.
    only_try
        Whether to give up at once where there is no way with all of the clearance, without working out a remedy or the
        next best way.

    Returns
    -------
    PipePlan
        Complete.

    Raises
    ------
    Refusal
        A port that is not there, or has neither a surveyed face nor a part whose place gives it one; a tube the shop
        has no former for, an old pipe that was not surveyed or cannot be followed, no way to go, or none that clears.
    """
    parts = tuple(parts)
    ports = find_port(parts, entry.start.port), find_port(parts, entry.end.port)
    start, end, covariance = two_faces(survey, *ports)
    od_mm = float(entry.tube.od.to("mm"))
    wanted_mm = None if entry.bend_radius is None else float(entry.bend_radius.to("mm"))
    former = former_for(od_mm, wanted_mm, shop, f"pipe {name}")
    radius_mm = float(former.radius.to("mm")) if wanted_mm is None else wanted_mm
    around = None
    faces, backs = (_end_face(start, entry.start), _end_face(end, entry.end)), tuple[NutBack, ...]()
    if scene is not None:
        joints = tuple(joints)
        backs = nuts_back(faces, od_mm, scene, parts, joints)
        around = surroundings_of(name, entry, faces, scene, parts, joints, shop, spanners, backs)
    lay = partial(
        pipe_between,
        name=name,
        covariance=covariance,
        tube=TubeStock(od_mm, wall_mm(entry.tube.wall, f"pipe {name}, wall"), entry.tube.metal),
        radius_mm=radius_mm,
        grip_mm=float(former.grip.to("mm")),
        file_allowance_mm=float(entry.file_allowance.to("mm")),
        scatter=scatter_of(shop.scatter),
        springs_back_deg=_springs_back_deg(former, radius_mm),
        bends_most=entry.bends_most,
        surroundings=around,
        old=None if entry.like is None else _old_tube(entry.like, survey, f"pipe {name}"),
        formers=_round_formers(od_mm, radius_mm, shop),
        with_other=not only_try,
    )
    roomy = with_room(faces, backs)
    if any(room is not face for room, face in zip(roomy, faces, strict=True)):
        try:
            laid = lay(start=roomy[0], end=roomy[1], only_try=True)
        except Refusal:
            # No way leaves the nuts all their room: with the straights as asked for, it is said how much they lack.
            laid = lay(start=faces[0], end=faces[1], only_try=only_try)
    else:
        laid = lay(start=faces[0], end=faces[1], only_try=only_try)
    asked_mm = faces[0].straight_mm, faces[1].straight_mm
    rooms = rooms_of(laid.vertices_mm, radius_mm, od_mm, backs, asked_mm)
    return replace(laid, routing=replace(laid.routing, rooms=rooms))


def former_for(od_mm: float, radius_mm: float | None, shop: Shop, what: str = "pipe") -> Former:
    """Choose the former for a tube.

    Parameters
    ----------
    od_mm
        Outside diameter of the tube. [mm]
    radius_mm
        Centre-line radius wanted, or None for the smallest the shop has. [mm]
    shop
        The workshop.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    Former
        The one of this tube's size whose radius is nearest; its grip is used even where its radius is not.

    Raises
    ------
    Refusal
        The shop has no former for this tube.
    """
    fitting = _of_size(od_mm, shop)
    if not fitting:
        raise Refusal(
            f"{what}, former",
            f"none for {od_mm:.2f} mm tube",
            "a former of the tube's outside diameter",
            "Add the former to the shop, with its radius and the straight it needs.",
        )
    return min(fitting, key=lambda former: abs(float(former.radius.to("mm")) - (radius_mm or 0.0)))


def _of_size(od_mm: float, shop: Shop) -> list[Former]:
    return [former for former in shop.formers if abs(float(former.od.to("mm")) - od_mm) <= _SAME_MM]


def _round_formers(od_mm: float, radius_mm: float, shop: Shop) -> tuple[Bender, ...] | None:
    """The formers it may be bent round; None where the radius wanted is no former's, for then any may be bent."""
    formers = [Bender(float(each.radius.to("mm")), float(each.grip.to("mm"))) for each in _of_size(od_mm, shop)]
    return tuple(formers) if any(abs(each.radius_mm - radius_mm) <= _SAME_MM for each in formers) else None


def _old_tube(name: str, survey: Surveyed, what: str) -> OldTube:
    survey = survey.survey if isinstance(survey, PlacedEnds) else survey
    tubes = survey.tubes if isinstance(survey, Survey) else ()
    tube = next((each for each in tubes if each.name == name), None)
    if tube is None:
        left = [each for each in survey.left_out if each.name == f"tube {name}"] if isinstance(survey, Survey) else []
        remedy = left[0].do if left else "Mark both its edges in two photographs or more, or take out the line like."
        raise Refusal(f"{what}, like {name}", "a tube the survey could not fix", "a tube that is fixed", remedy)
    return OldTube(name, np.array(tube.vertices_mm), np.array(tube.vertices_k2_mm), tube.bend_radius_mm)


def _springs_back_deg(former: Former, radius_mm: float) -> float | None:
    """What the test piece sprang back by, if it was bent round the radius that is used."""
    if former.springs_back is None or not isclose(float(former.radius.to("mm")), radius_mm, abs_tol=_SAME_MM):
        return None
    return float(former.springs_back.to("deg"))


def _end_face(face: FaceAt, end: PipeEnd) -> EndFace:
    straight_mm, enters_mm = float(end.straight.to("mm")), float(end.enters.to("mm"))
    return EndFace(face.name, face.position_mm, face.direction, straight_mm, enters_mm)
