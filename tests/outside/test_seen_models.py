"""Outside: skins have the volumes of solid geometry, and trimesh reads the model back: names, sizes, volumes."""

from __future__ import annotations

import io
from math import pi, sin
from typing import Any

import numpy as np
import pytest

from loaded import Loaded
from trialfit.parts.solids import Box, Capsule, Cylinder, Hexagon
from trialfit.sheets.seen.meshes import Mesh, arrow_mesh, mesh_of, pipe_mesh, tube_mesh
from trialfit.sheets.seen.model import Node, glb

trimesh = Loaded("trimesh")

_A, _B = np.array([1.0, 2.0, 3.0]), np.array([1.0, 5.0, 7.0])  # 5 mm apart: 3, 4, 5


def _polygon(sides: int) -> float:
    """Area of a regular polygon over that of its circle."""
    return sides / 2 * sin(2 * pi / sides) / pi


def _bent() -> Mesh:
    return pipe_mesh(np.array([[0.0, 0, 0], [40, 0, 0], [40, 40, 0], [40, 40, 40]]), 12.0, 5.0, 3.0, 2.0)


# Every volume by the textbook. The pipe: by Pappus its section times its centre line, which is three legs of 40 less
# two tangents of 12 at each of two square corners, and two quarter circles of 12. Round ends are facets too.
SKINS = {
    "cylinder": (mesh_of(Cylinder(_A, _B, 2.0)), pi * 4 * 5 * _polygon(32), 1e-9),
    "rod with round ends": (mesh_of(Capsule(_A, _B, 2.0)), pi * 4 * 5 + 4 / 3 * pi * 8, 0.02),
    "ball": (mesh_of(Capsule(_A, _A, 2.0)), 4 / 3 * pi * 8, 0.03),
    "hexagon": (mesh_of(Hexagon(_A, _B, 6.0, np.array([1.0, 0, 0]))), 5 * 36 * 3**0.5 / 2, 1e-9),
    "box": (mesh_of(Box(_A, np.eye(3), np.array([1.0, 2, 3]))), 48.0, 1e-9),
    "box, left-handed edges": (mesh_of(Box(_A, np.eye(3)[[1, 0, 2]], np.array([1.0, 2, 3]))), 48.0, 1e-9),
    "straight tube": (tube_mesh(np.array([_A, _B]), 2.0, 2.0), pi * (4 - 1) * 5 * _polygon(24), 1e-9),
    "bent pipe": (_bent(), pi / 4 * (25 - 9) * (120 - 48 + 2 * 12 * pi / 2) * _polygon(24), 2e-4),
}


@pytest.mark.parametrize("name", SKINS)
def test_a_skin_is_closed_and_holds_the_volume_by_hand(name: str) -> None:
    mesh, volume, share = SKINS[name]
    assert mesh.volume_mm3 == pytest.approx(volume, rel=share)
    read = trimesh.Trimesh(mesh.corners_mm, mesh.faces)
    read.merge_vertices(digits_vertex=6)
    assert read.is_watertight
    assert read.is_winding_consistent


@pytest.mark.parametrize("name", SKINS)
def test_normals_point_out_of_the_skin_and_are_unit_vectors(name: str) -> None:
    mesh, _, _ = SKINS[name]
    a, b, c = (mesh.corners_mm[mesh.faces[:, k]] for k in range(3))
    faced = np.cross(b - a, c - a)
    sized = np.linalg.norm(faced, axis=1) > 1e-9
    given = mesh.normals[mesh.faces].sum(axis=1)
    assert (np.einsum("ij,ij->i", faced, given)[sized] > 0).all()
    assert np.allclose(np.linalg.norm(mesh.normals, axis=1), 1.0)


def test_an_arrow_ends_at_its_tip() -> None:
    mesh = arrow_mesh(np.array([[0.0, 0, 0], [10, 0, 0]]), 1.0)
    assert mesh.corners_mm[:, 0].max() == pytest.approx(10.0)
    # Shaft of 7 by 1, its round a polygon of 12; head of 3 by 3, of 20: pi/4 7 and pi/4 9 3/3.
    assert mesh.volume_mm3 == pytest.approx(pi / 4 * 7 * _polygon(12) + pi / 4 * 9 * _polygon(20), rel=1e-6)


def _read(content: bytes) -> Any:
    return trimesh.load_scene(io.BytesIO(content), file_type="glb")


def test_the_model_reads_back_by_name_in_metres_with_y_up() -> None:
    box = Box(np.array([10.0, 20.0, 30.0]), np.eye(3), np.array([1.0, 2.0, 3.0]))
    nodes = [
        Node("body", mesh_of(box), "engine"),
        Node('pipe "§5" <ä>', _bent(), "new", "feed"),
        Node("none", _empty(), "old"),
    ]
    scene = _read(glb(nodes, "job"))
    assert set(scene.graph.nodes_geometry) == {"body", 'pipe "§5" <ä>'}
    read = {name: scene.geometry[scene.graph[name][1]] for name in scene.graph.nodes_geometry}
    # x stays, z (up) becomes y, y becomes -z.
    assert np.allclose(read["body"].bounds, [[0.009, 0.027, -0.022], [0.011, 0.033, -0.018]], atol=1e-7)
    assert read["body"].volume == pytest.approx(48e-9, rel=1e-5)
    assert read['pipe "§5" <ä>'].volume == pytest.approx(SKINS["bent pipe"][1] * 1e-9, rel=3e-4)


@pytest.mark.parametrize("up", [(0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8)])
def test_what_is_up_in_the_job_is_up_in_the_model(up: tuple[float, float, float]) -> None:
    """A rod of 5 mm along what is up reaches 5 mm up and is as thick as it was across."""
    way = np.array(up)
    rod = mesh_of(Cylinder(np.zeros(3), 5.0 * way, 1.0))
    low, high = _read(glb([Node("rod", rod, "part")], "job", way)).bounds
    assert (high - low)[1] == pytest.approx(0.005, rel=1e-5)
    assert (high - low)[[0, 2]] == pytest.approx([0.002, 0.002], rel=0.01)


def test_an_empty_model_is_a_sound_file() -> None:
    content = glb([], "nothing")
    assert content[:4] == b"glTF"
    assert int.from_bytes(content[8:12], "little") == len(content)


def _empty() -> Mesh:
    return Mesh(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
