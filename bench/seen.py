"""Pictures of the backhead example's things, against matplotlib's triangles in space; the model against trimesh."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import trimesh
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from mpl_toolkits.mplot3d.art3d import Poly3DCollection

from backhead import folder, looked, survey
from bench.clock import Row, least_ms
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.in_place import in_place
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts
from trialfit.parts.records import Part
from trialfit.sheets.seen.eye import Eye, framed
from trialfit.sheets.seen.gathered import nodes_of
from trialfit.sheets.seen.meshes import Mesh
from trialfit.sheets.seen.model import Node, glb
from trialfit.sheets.seen.motion import Motion
from trialfit.sheets.seen.over_photographs import pipes_over
from trialfit.sheets.seen.picture import Shown, picture_of
from trialfit.sheets.seen.steps import SeenStep, Stage, picture_in_space, step_pictures
from trialfit.survey.records import Survey

SIZE_PX = (760, 570)


@dataclass(frozen=True)
class _Laid:
    survey: Survey
    parts: tuple[Part, ...]
    pipes: tuple[PipePlan, ...]

    @property
    def ends(self) -> EndsInPlace:
        return EndsInPlace(self.parts, self.survey)


def rows() -> list[Row]:
    """Time a picture in space, a step, the pipe over six photographs, and the model.

    Returns
    -------
    list of Row
        Ours and the alternatives on the same triangles and the same size of picture.
    """
    laid, scene = _laid()
    stage = Stage(laid, scene)
    shown = [Shown(name, mesh) for name, mesh in stage.meshes.items()]
    corners = np.concatenate([each.mesh.corners_mm for each in shown])
    eye = framed(corners, np.array([0.3, -0.8, 0.5]) / 0.98995, np.array([0.0, 0.0, 1.0]), SIZE_PX)
    nut = scene.thing("check_nut")
    assert nut is not None
    pipe = laid.pipes[0]
    motion = Motion(pipe.start.direction, pipe.start.position_mm, 5.0, 14.0)
    step = SeenStep(1, ("check_nut",), (motion,), tuple(stage.things), False)
    photographs = {name: each.grey for name, each in looked().sighted.photographs.items()}
    nodes = nodes_of(laid, scene)
    count = sum(len(mesh.faces) for mesh in stage.meshes.values())
    return [
        Row("everything in place: trialfit, hidden, shaded, edges", least_ms(partial(picture_of, shown, eye), 5),
            f"{count} triangles, {SIZE_PX[0]} x {SIZE_PX[1]} px, 4 samples a pixel"),
        Row("everything in place: matplotlib", least_ms(partial(_by_matplotlib, list(stage.meshes.values()), eye), 2),
            "sorted whole triangles: wrong where they cross"),
        Row("a step in space: trialfit", least_ms(partial(picture_in_space, stage, step), 5), "its view chosen"),
        Row("a step on a photograph: trialfit", least_ms(partial(step_pictures, stage, [step], photographs), 5),
            "the best of six chosen; JPEG"),
        Row("the pipe over six photographs: trialfit", least_ms(partial(pipes_over, laid, photographs), 3)),
        Row("glTF: trialfit", least_ms(partial(glb, nodes, "bench"), 5)),
        Row("glTF: trimesh", least_ms(partial(_by_trimesh, nodes), 3)),
    ]  # fmt: skip


def _laid() -> tuple[_Laid, Scene]:
    job = folder().job
    parts = build_parts(job)
    pipe = wanted_pipe("feed", job.pipes["feed"], parts, survey(), assumed_shop())
    return _Laid(survey(), parts, (pipe,)), in_place(job, parts, survey(), (pipe,)).scene


def _by_matplotlib(meshes: Sequence[Mesh], eye: Eye) -> object:
    figure = Figure(figsize=(eye.size_px[0] / 100, eye.size_px[1] / 100), dpi=100)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_subplot(projection="3d")
    corners = np.concatenate([mesh.corners_mm for mesh in meshes])
    axes.set(**{f"{name}lim": (corners[:, k].min(), corners[:, k].max()) for k, name in enumerate("xyz")})
    for mesh in meshes:
        axes.add_collection3d(Poly3DCollection(mesh.corners_mm[mesh.faces], shade=True, facecolors="lightgrey"))
    canvas.draw()
    return canvas.buffer_rgba()


def _by_trimesh(nodes: Sequence[Node]) -> object:
    scene = trimesh.Scene()
    for node in nodes:
        made = trimesh.Trimesh(node.mesh.corners_mm / 1000, node.mesh.faces, process=False)
        scene.add_geometry(made, node_name=node.name)
    return io.BytesIO(scene.export(file_type="glb"))
