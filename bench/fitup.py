"""Strain and chance of a pipe, against the frame library Pynite and pipes replayed one by one."""

from __future__ import annotations

from functools import partial

import numpy as np
from Pynite import FEModel3D

from bench.clock import Row, least_ms
from trialfit.fitup.bends import bend_table, replay, start_pose
from trialfit.fitup.flexibility import end_flexibility, section_of, stations
from trialfit.fitup.landing import Scatter
from trialfit.fitup.offer import mismade
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import Array, EndFace, PipePlan, TubeStock
from trialfit.fitup.strain import finger_tight, seated
from trialfit.fitup.ways_out import drop_on, hold

_SCATTER = Scatter(0.6, 2.0, 4.0)
_TUBE = TubeStock(4.7625, 0.7112, "CW024A")


def rows() -> list[Row]:
    """Time the give of a two-bend pipe, its strain both ways, and its chance with all ways out.

    Returns
    -------
    list of Row
        Ours and the alternatives on the same pipe.
    """
    pipe, covariance = two_bend_pipe()
    table, start, held = bend_table(pipe.vertices_mm, pipe.radius_mm), start_pose(pipe.vertices_mm), hold(pipe)
    section = section_of(pipe.tube)
    shift = np.array([0.3, -0.2, 0.4])
    random = np.random.default_rng(1)
    slips = random.normal(size=(1000, 6)) * np.array([0.3, 1, 0.3, 2, 1, 0.3])

    def one_by_one() -> object:
        return [replay(mismade(table, slip), start) for slip in slips]

    return [
        Row("two bends: trialfit, give of the far end", least_ms(partial(end_flexibility, table, start, section))),
        Row(
            "two bends: trialfit, strain finger tight and seated",
            least_ms(lambda: (finger_tight(held, shift), seated(held, shift, np.zeros(3)))),
        ),
        Row("two bends: Pynite, 36 bars, one load", least_ms(partial(frame, pipe, 12), 3)),
        Row(
            "two bends: trialfit, chance and all ways out",
            least_ms(partial(drop_on, pipe, covariance, _SCATTER)),
            "8192 pipes a way",
        ),
        Row("two bends: 1000 pipes replayed one by one", least_ms(one_by_one, 3), "not yet rolled or tested"),
    ]


def two_bend_pipe() -> tuple[PipePlan, Array]:
    """A pipe with two bends, and what is not known of its faces.

    Returns
    -------
    tuple
        The pipe, laid out, and (12, 12) covariance of its two faces [mm2, mm, 1].
    """
    start = EndFace("a.face", np.zeros(3), np.array([0, 0, -1.0]), 14.0, 6.5)
    way = np.array([-1, 0.2, 0.1])
    end = EndFace("b.face", np.array([60, 30, -70.0]), way / np.linalg.norm(way), 14.0, 3.5)
    covariance = np.diag([0.1**2] * 3 + [0.004**2] * 3 + [0.1**2] * 3 + [0.004**2] * 3)
    return pipe_between("feed", start, end, covariance, _TUBE, 12.7, 10.0, 0.5, _SCATTER), covariance


def frame(pipe: PipePlan, parts: int) -> object:
    """The same pipe as bars of a frame, loaded once.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    parts
        A third of the bars. [-]

    Returns
    -------
    object
        The model, solved.
    """
    laid = stations(bend_table(pipe.vertices_mm, pipe.radius_mm), start_pose(pipe.vertices_mm))
    ways = np.linspace(0, laid.at_mm[-1], 3 * parts)
    at = [np.interp(ways, laid.at_mm, laid.position_mm[:, k]) for k in range(3)]
    section = section_of(pipe.tube)
    model = FEModel3D()
    model.add_material("copper", section.modulus_mpa, section.shear_modulus_mpa, section.poisson, 0.0)
    second = section.second_moment_mm4
    model.add_section("tube", section.area_mm2, second, second, 2 * second)
    for k, point in enumerate(zip(*at, strict=True)):
        model.add_node(f"n{k}", *map(float, point))
    for k in range(len(ways) - 1):
        model.add_member(f"m{k}", f"n{k}", f"n{k + 1}", "copper", "tube")
    model.def_support("n0", True, True, True, True, True, True)
    model.add_node_load(f"n{len(ways) - 1}", "FX", 1.0)
    model.analyze_linear()
    return model
