"""Drawn photographs of pieces at the bench, of known truth: lens, place and every size are chosen here.

`tools/bench_photographs.py` writes them into the example. The frame is that of the card as it lies on the bench: x
along its long side, y along its short side, z up.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.parts.solids import Box, Hexagon
from trialfit.sheets.seen.eye import Eye, looking
from trialfit.sheets.seen.meshes import Mesh, lathe, mesh_of, tube_mesh
from trialfit.sheets.seen.raster import NOTHING, raster
from trialfit.survey.card import CardBoard
from trialfit.survey.project import straighten

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

SIZE_PX = (3200, 2400)
# 26 mm over 43.2666 mm of the 35 mm frame's diagonal, times this picture's diagonal of 4000 px.
FOCAL_PX = 26.0 / 43.2666 * 4000.0
LENS = (0.03, -0.04, 0.0005, -0.0003, 0.0)
TUBE_OD_MM, TUBE_WALL_MM, STUB_LONG_MM = 4.76, 0.71, 18.0
NUT_LONG_MM, NUT_FLATS_MM, CONE_BODY_MM = 10.0, 9.1, 6.8
RULE_TOP_MM = 0.6
_COPPER, _BRASS, _BRONZE, _STEEL = (186, 108, 70), (205, 172, 92), (190, 138, 84), (150, 153, 156)
_LIGHT = np.array([-0.45, 0.35, 0.82])
_GRAIN = 3.0


@dataclass(frozen=True, eq=False)
class BenchScene:
    """What lies on the bench, and the eye that sees it."""

    eye: Eye
    things: tuple[tuple[Mesh, tuple[int, int, int]], ...]
    board: CardBoard | None
    rule: tuple[Array, Array] | None = None


def _eye(stands: tuple[float, float, float], at: tuple[float, float, float]) -> Eye:
    seen = looking(np.array(stands), np.array(at), np.array([0.0, 1.0, 0.0]), FOCAL_PX, SIZE_PX)
    return Eye(
        seen.turn, seen.shift_mm, FOCAL_PX * 1.011, seen.centre_px + np.array([7.0, -5.0]), np.array(LENS), SIZE_PX
    )


def _line(*points: tuple[float, float, float]) -> Array:
    return np.array(points, dtype=float)


def _cone(at: Array, along: Array) -> Mesh:
    """A union cone of the job: nose 5 mm, 60 deg, body 6.8 mm, 4 mm long, bored 3.4 mm."""
    slope = (CONE_BODY_MM - 5.0) / 2.0 / np.tan(np.radians(30.0))
    corners = [(0.0, 1.7), (0.0, 2.5), (slope, 3.4), (4.0, 3.4), (4.0, 1.7), (0.0, 1.7)]
    profile: list[tuple[list[float], list[float]]] = []
    for (x0, r0), (x1, r1) in pairwise(corners):
        normal = np.array([-(r1 - r0), x1 - x0]) / np.hypot(x1 - x0, r1 - r0)
        profile += [([x0, r0], normal.tolist()), ([x1, r1], normal.tolist())]
    return lathe(at, along, profile, 64)


def before(board: CardBoard) -> BenchScene:
    """The end of the old feed pipe, torn, and the cone torn off it, above the card."""
    y, high = 108.0, TUBE_OD_MM / 2.0
    stub = tube_mesh(
        np.column_stack([np.linspace(40.0, 40.0 + STUB_LONG_MM, 40), np.full(40, y), np.full(40, high)]),
        TUBE_OD_MM / 2.0, TUBE_OD_MM - 2.0 * TUBE_WALL_MM, 96,
    )  # fmt: skip
    rng, torn = np.random.default_rng(4), stub.corners_mm.copy()
    bites = rng.uniform(0.0, 3.0, 12)
    around = np.mod(np.arctan2(torn[:, 2] - high, torn[:, 1] - y), 2.0 * np.pi)
    depth = np.interp(around, np.linspace(0.0, 2.0 * np.pi, 13), [*bites, bites[0]]) - bites.min()
    torn[:, 0] += depth * np.clip((46.0 - torn[:, 0]) / 6.0, 0.0, 1.0)
    stub = Mesh(torn, stub.normals, stub.faces)
    cone = _cone(np.array([26.0, y - 1.0, CONE_BODY_MM / 2.0]), np.array([np.cos(0.3), np.sin(0.3), 0.0]))
    return BenchScene(_eye((52.0, 84.0, 208.0), (54.0, 62.0, 0.0)), ((stub, _COPPER), (cone, _BRONZE)), board)


def after() -> BenchScene:
    """The check valve's end of the new pipe: cone soldered on, nut slid back; a steel rule beside it."""
    axis = 9.1 / 2.0 + 0.2
    straight = _line((4.0, 0.0, axis), (38.0, 0.0, axis))
    bend = [(38.0 + 12.7 * np.sin(t), 12.7 - 12.7 * np.cos(t), axis) for t in np.linspace(0.08, 1.2, 20)]
    pipe = tube_mesh(np.concatenate([straight, np.array(bend)]), TUBE_OD_MM / 2.0, TUBE_OD_MM - 2 * TUBE_WALL_MM, 96)
    cone = _cone(np.array([0.0, 0.0, axis]), np.array([1.0, 0.0, 0.0]))
    up = np.array([0.0, 0.0, 1.0])
    nut = mesh_of(Hexagon(np.array([16.0, 0.0, axis]), np.array([26.0, 0.0, axis]), NUT_FLATS_MM, up))
    rule = mesh_of(Box(np.array([30.0, -20.0, RULE_TOP_MM / 2]), np.eye(3), np.array([60.0, 7.0, RULE_TOP_MM / 2])))
    eye = _eye((24.0, -8.0, 150.0), (23.0, 0.0, 2.0))
    things = ((pipe, _COPPER), (cone, _BRONZE), (nut, _BRASS), (rule, _STEEL))
    return BenchScene(eye, things, None, (np.array([-10.0, -13.0]), np.array([70.0, -13.0])))


def rule_px(scene: BenchScene) -> Array:
    """(2, 2) where the rule's ticks at 10 and 60 mm are seen. [px]"""
    assert scene.rule is not None
    start, end = scene.rule
    along = (end - start) / np.linalg.norm(end - start)
    places = np.array([[*(start + mm * along), RULE_TOP_MM] for mm in (10.0, 60.0)])
    return scene.eye.seen(places)[0]


def drawn(scene: BenchScene, seed: int) -> Picture:
    """Draw the photograph: (height, width, 3) red, green, blue."""
    wide, high = SIZE_PX
    rng = np.random.default_rng(seed)
    ground = _ground(scene, rng)
    meshes = [mesh for mesh, _ in scene.things]
    buffer = raster(meshes, scene.eye)
    seen = buffer.which != NOTHING
    light = _LIGHT / np.linalg.norm(_LIGHT)
    way = -scene.eye.turn[2]
    half = (light + way) / np.linalg.norm(light + way)
    diffuse = np.clip(buffer.normals @ light.astype(np.float32), 0.0, 1.0)
    shine = np.clip(buffer.normals @ half.astype(np.float32), 0.0, 1.0) ** 24
    colours = np.array([colour for _, colour in scene.things], dtype=np.float32)[buffer.which]
    lit = colours * (0.42 + 0.55 * diffuse)[..., None] + 70.0 * shine[..., None]
    picture = np.where(seen[..., None], lit, ground).astype(np.float32)
    if scene.rule is not None:
        _ticked(picture, scene)
    picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.8), dtype=np.float32)
    picture += rng.normal(0.0, _GRAIN, (high, wide, 1)).astype(np.float32)
    return np.asarray(np.clip(picture, 0, 255), dtype=np.uint8)


def _ground(scene: BenchScene, rng: np.random.Generator) -> NDArray[np.float32]:
    """The bench, the card on it, and the shadows of what lies there."""
    places = _on_bench(scene.eye)
    grain = cv2.resize(rng.normal(0, 1, (150, 40)).astype(np.float32), SIZE_PX, interpolation=cv2.INTER_CUBIC)
    ground = np.repeat((178.0 + 5.0 * grain)[..., None], 3, axis=2).astype(np.float32)
    if scene.board is not None:
        board = scene.board
        per_mm = 16
        size = round(board.board_mm[0] * per_mm), round(board.board_mm[1] * per_mm)
        printed = 28.0 + 200.0 / 255.0 * board.aruco.generateImage(size).astype(np.float32)
        left, low = board.page_corner_mm
        page = (places[..., 0] > left) & (places[..., 0] < left + board.page_mm[0])
        page &= (places[..., 1] > low) & (places[..., 1] < low + board.page_mm[1])
        across = (places[..., 0] * per_mm - 0.5).astype(np.float32)
        down = ((board.board_mm[1] - places[..., 1]) * per_mm - 0.5).astype(np.float32)
        inked = cv2.remap(printed, across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(228.0,))
        ground = np.where(page[..., None], inked[..., None], ground).astype(np.float32)
    flat = []
    for mesh, _ in scene.things:
        corners = mesh.corners_mm - mesh.corners_mm[:, 2:] * _LIGHT / _LIGHT[2]
        flat.append(Mesh(corners, mesh.normals, mesh.faces))
    shade = (raster(flat, scene.eye, both_sides=True).which != NOTHING).astype(np.float32)
    shade = cv2.GaussianBlur(shade, (0, 0), 9.0)
    return np.asarray(ground * (1.0 - 0.5 * shade[..., None]), dtype=np.float32)


def _on_bench(eye: Eye) -> NDArray[np.float32]:
    """(height, width, 2) x, y of the bench under every pixel, worked out for every eighth and drawn out between."""
    wide, high = SIZE_PX
    x, y = np.arange(-8, wide + 16, 8) + 3.5, np.arange(-8, high + 16, 8) + 3.5
    px = np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2)
    n = len(px)
    flat = straighten(px, np.full(n, eye.focal_px), np.tile(eye.centre_px, (n, 1)), np.tile(eye.lens, (n, 1)))
    rays = np.column_stack([flat, np.ones(n)]) @ eye.turn
    stands = eye.stands_mm
    places = stands[:2] - (stands[2] / rays[:, 2])[:, None] * rays[:, :2]
    grid = places.reshape(len(y), len(x), 2).astype(np.float32)
    whole = cv2.resize(grid, (len(x) * 8, len(y) * 8), interpolation=cv2.INTER_LINEAR)
    return np.asarray(whole[8 : 8 + high, 8 : 8 + wide])


def _ticked(picture: NDArray[np.float32], scene: BenchScene) -> None:
    """Engrave the rule: a tick a millimetre, longer each 5 and 10, a figure each 10."""
    assert scene.rule is not None
    start, end = scene.rule
    long = round(float(np.linalg.norm(end - start)))
    along = (end - start) / long
    aside = np.array([along[1], -along[0]])
    ink = np.zeros(picture.shape[:2], dtype=np.uint8)
    for mm in range(long + 1):
        deep = 4.0 if mm % 10 == 0 else 3.0 if mm % 5 == 0 else 2.0
        ends = np.array([[*(start + mm * along + d * aside), RULE_TOP_MM] for d in (0.0, deep)])
        px = np.rint(np.nan_to_num(scene.eye.seen(ends)[0], nan=-1e4) * 16.0).astype(int)
        cv2.line(ink, tuple(px[0].tolist()), tuple(px[1].tolist()), 255, 3, cv2.LINE_AA, 4)
        if mm % 10 == 0:
            foot = np.array([[*(start + mm * along + 7.6 * aside), RULE_TOP_MM]])
            at = np.nan_to_num(scene.eye.seen(foot)[0][0], nan=-1e4).astype(int)
            words, hand = str(mm // 10), cv2.FONT_HERSHEY_SIMPLEX
            (wide, _), _ = cv2.getTextSize(words, hand, 1.5, 3)
            cv2.putText(ink, words, (int(at[0]) - wide // 2, int(at[1])), hand, 1.5, 255, 3, cv2.LINE_AA)
    share = ink[..., None].astype(np.float32) / 255.0
    picture *= 1.0 - 0.75 * share
