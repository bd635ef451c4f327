"""glTF 2.0 of everything in place, for any viewer: one binary file, one node a thing, named as in the job.

Source: Khronos Group, glTF 2.0 specification (ISO/IEC 12113:2022), sections 3 and 4: metres, y up, a binary file of
two chunks each padded to four bytes.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from trialfit.parts.placement import Array
from trialfit.sheets.seen.meshes import Mesh

Look = Literal["new", "old", "part", "engine", "point"]

_METRES_A_MM = 0.001
# Red, green, blue, opacity, how metallic.
_MATERIALS: dict[Look, tuple[float, float, float, float, float]] = {
    "new": (0.90, 0.55, 0.10, 1.0, 0.6),
    "old": (0.45, 0.30, 0.22, 0.55, 0.3),
    "part": (0.75, 0.65, 0.35, 1.0, 0.6),
    "engine": (0.35, 0.40, 0.42, 0.6, 0.0),
    "point": (0.05, 0.05, 0.05, 1.0, 0.0),
}
_ARRAY_BUFFER, _ELEMENT_ARRAY_BUFFER = 34962, 34963
_FLOAT, _UNSIGNED_INT = 5126, 5125


@dataclass(frozen=True, eq=False)
class Node:
    """One named thing of a model.

    Parameters
    ----------
    name
        Its name.
    mesh
        Its skin, in the job frame.
    look
        What sort of thing it is; decides its colour.
    what
        In words; kept with the node.
    """

    name: str
    mesh: Mesh
    look: Look
    what: str = ""


def glb(nodes: Sequence[Node], title: str, up: Array | None = None) -> bytes:
    """Write a model.

    Parameters
    ----------
    nodes
        What is in it; a node without a face is left out.
    title
        Name of the scene.
    up
        (3,) unit vector of the job frame that is up; its z without. glTF has y up. [-]

    Returns
    -------
    bytes
        A binary glTF file in metres. The same nodes give the same bytes.
    """
    shown = [node for node in nodes if len(node.mesh.faces)]
    turn = _upright(np.array([0.0, 0.0, 1.0]) if up is None else up)
    looks = list(dict.fromkeys(node.look for node in shown))
    document: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "trialfit"},
        "scene": 0,
        "scenes": [{"name": title}],
    }
    if not shown:
        return _packed(document, b"")
    document["scenes"][0]["nodes"] = list(range(len(shown)))
    document |= {
        "nodes": [_node(node, number) for number, node in enumerate(shown)],
        "meshes": [],
        "materials": [_material(look) for look in looks],
        "accessors": [],
        "bufferViews": [],
    }
    content = b""
    for node in shown:
        content += _mesh(document, node, turn, looks.index(node.look), len(content))
    document["buffers"] = [{"byteLength": len(content)}]
    return _packed(document, content)


def _node(node: Node, number: int) -> dict[str, Any]:
    return {"name": node.name, "mesh": number, "extras": {"what": node.what, "sort": node.look}}


def _material(look: Look) -> dict[str, Any]:
    red, green, blue, opacity, metallic = _MATERIALS[look]
    shading = {"baseColorFactor": [red, green, blue, opacity], "metallicFactor": metallic, "roughnessFactor": 0.5}
    made: dict[str, Any] = {"name": look, "pbrMetallicRoughness": shading, "doubleSided": look == "engine"}
    return made | ({"alphaMode": "BLEND"} if opacity < 1.0 else {})


def _mesh(document: dict[str, Any], node: Node, turn: Array, material: int, at: int) -> bytes:
    corners = (node.mesh.corners_mm @ turn.T * _METRES_A_MM).astype("<f4")
    normals = node.mesh.normals @ turn.T
    normals = (normals / np.linalg.norm(normals, axis=1, keepdims=True)).astype("<f4")
    faces = node.mesh.faces.astype("<u4")
    first = len(document["accessors"])
    low, high = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    document["accessors"] += [
        _accessor(first, _FLOAT, len(corners), "VEC3") | {"min": low, "max": high},
        _accessor(first + 1, _FLOAT, len(normals), "VEC3"),
        _accessor(first + 2, _UNSIGNED_INT, faces.size, "SCALAR"),
    ]
    content = b""
    for values, target in ((corners, _ARRAY_BUFFER), (normals, _ARRAY_BUFFER), (faces, _ELEMENT_ARRAY_BUFFER)):
        own = values.tobytes()
        document["bufferViews"].append(
            {"buffer": 0, "byteOffset": at + len(content), "byteLength": len(own), "target": target}
        )
        content += own
    attributes = {"POSITION": first, "NORMAL": first + 1}
    primitive = {"attributes": attributes, "indices": first + 2, "material": material}
    document["meshes"].append({"name": node.name, "primitives": [primitive]})
    return content


def _accessor(view: int, component: int, count: int, kind: str) -> dict[str, Any]:
    return {"bufferView": view, "componentType": component, "count": count, "type": kind}


def _upright(up: Array) -> Array:
    """Rotation that takes the way that is up to glTF's y, and the job's x as near to its x as goes."""
    across = np.array([1.0, 0.0, 0.0]) - up[0] * up
    if float(np.linalg.norm(across)) < 1e-3:
        across = np.array([0.0, 1.0, 0.0]) - up[1] * up
    across = across / np.linalg.norm(across)
    return np.array([across, up, np.cross(across, up)])


def _packed(document: dict[str, Any], content: bytes) -> bytes:
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    content += b"\0" * (-len(content) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
    if content:
        chunks += struct.pack("<II", len(content), 0x004E4942) + content
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks
