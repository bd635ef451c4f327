"""Makes tests/photographs/backhead/edges.json: marks on edges and rims as a hand would make them. Run by hand.

For tests only. Where an edge or a rim stands in a photograph is worked out from the truth the pictures were rendered
from (truth.json), with OpenCV's camera; nothing of the survey is used. A place is marked only where the picture shows
the edge: grey values, averaged along the outline, must step within 2.5 px of it. A hand's slip of 1.5 px each way is
added. The file notes this too.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

Array = NDArray[np.float64]

ROOT = Path(__file__).parents[1]
TRUTH = ROOT / "tests" / "photographs" / "backhead" / "truth.json"
PICTURES = ROOT / "examples" / "backhead" / "photographs"
OUT = TRUTH.with_name("edges.json")
SLIP_PX = 1.5
ACROSS_PX, ALONG_PX = 12, 10
RUN, MOST_OF_RUN = 7, 4  # so many of the places side by side must show the edge
HIDDEN_MM = {"feed_pipe": 4.0, "gauge_pipe": 3.5, "blowdown_pipe": 7.5}  # of each pipe's start, inside its nut
BEHIND_THE_NUT = {("view3.jpg", "feed_pipe", "leg1")}
# The empty bush has a small chamfer, so the edge that shows is inside its full 6.35 mm; its bore's edge is sharp.
RIMS = {"bare_bush": ("bare_bush.face", 5.6, 6.15), "bare_bush_bore": ("bare_bush.face", 3.0, 3.35)}
CLEAR = {"view0.jpg", "view2.jpg", "view3.jpg", "view4.jpg"}  # elsewhere the regulator's handle is in front of it
NOTE = (
    "Marks made by tests/outline_clicks.py. Edges of pipes: places of the rendered truth's edges, kept where the "
    "photograph's colours differ on their two sides and no nut hides them; every one was looked at. Rims: places where "
    "the grey values step, looked for near the truth. All moved by a hand's slip of 1.5 px (one standard deviation) "
    "each way. Upright pixels."
)


class View:
    """One photograph with its true camera."""

    def __init__(self, view: dict[str, Any]) -> None:
        self.file = view["file"]
        self.turn, self.shift = np.array(view["R"]), np.array(view["t"])
        self.matrix, self.bent = np.array(view["K"]), np.array(view["dist"])
        with Image.open(PICTURES / self.file) as picture:
            upright = ImageOps.exif_transpose(picture).convert("RGB")
        self.colour = cv2.GaussianBlur(np.asarray(upright, dtype=np.float32), (0, 0), 1.0)
        self.eye = -self.turn.T @ self.shift

    def px(self, points: Array) -> Array:
        """(n, 2) upright pixels of points of the truth."""
        rotation, _ = cv2.Rodrigues(self.turn)
        seen, _ = cv2.projectPoints(points, rotation, self.shift, self.matrix, self.bent)
        return np.asarray(seen, dtype=np.float64).reshape(-1, 2)

    def beside(self, at: Array, along: Array) -> Array | None:
        """(across, along, 3) colours beside an outline; None too near the picture's edge."""
        height, width, _ = self.colour.shape
        if not (30 < at[0] < width - 30 and 30 < at[1] < height - 30):
            return None
        along = along / np.linalg.norm(along)
        across = np.array([-along[1], along[0]])
        t, a = np.arange(-ACROSS_PX, ACROSS_PX + 1), np.arange(-ALONG_PX, ALONG_PX + 1)
        where = (at + t[:, None, None] * across + a[None, :, None] * along).astype(np.float32)
        return np.asarray(cv2.remap(self.colour, where[..., 0], where[..., 1], cv2.INTER_LINEAR), dtype=np.float64)

    def shows_edge(self, at: Array, along: Array) -> bool:
        """Whether the colours on the two sides of an outline differ by more than their grain."""
        colours = self.beside(at, along)
        if colours is None:
            return False
        one, other = colours[ACROSS_PX - 6 : ACROSS_PX - 1], colours[ACROSS_PX + 2 : ACROSS_PX + 7]
        apart = np.abs(one.mean(axis=(0, 1)) - other.mean(axis=(0, 1))).max()
        grain = np.sqrt((one.std(axis=(0, 1)).max() ** 2 + other.std(axis=(0, 1)).max() ** 2) / (2 * ALONG_PX + 1))
        return bool(apart > max(6.0, 2.5 * grain))

    def step_at(self, at: Array, along: Array) -> tuple[float, bool]:
        """Where across an outline the picture steps from one grey to another, and whether it clearly does. [px]"""
        colours = self.beside(at, along)
        if colours is None:
            return 0.0, False
        grey = colours.mean(axis=2)
        profile = grey.mean(axis=1)
        step = np.abs(profile[4:] - profile[:-4])
        best = int(step.argmax())
        noise = float((grey - profile[:, None]).std()) / np.sqrt(2 * ALONG_PX + 1)
        return float(best + 2 - ACROSS_PX), bool(step[best] > max(8.0, 4.0 * noise))


def walk(pipe: dict[str, Any], piece: int) -> list[tuple[Array, Array]]:
    """Places and directions along one piece of a pipe of the truth, half a millimetre apart, its ends left out."""
    control, bends = [np.array(p) for p in pipe["control"]], pipe["bends"]
    cuts = [control[0], *(np.array(b[key]) for b in bends for key in ("start", "end")), control[-1]]
    first, last = cuts[piece], cuts[piece + 1]
    if piece % 2 == 0:
        run = last - first
        length = float(np.linalg.norm(run))
        begins = HIDDEN_MM[pipe["name"]] if piece == 0 else 1.0
        return [(first + s * run / length, run / length) for s in np.arange(begins, length - 1.0, 0.5)]
    bend = bends[piece // 2]
    centre = np.array(bend["centre"])
    one, other = (first - centre) / bend["radius"], (last - centre) / bend["radius"]
    axis = np.cross(one, other) / np.linalg.norm(np.cross(one, other))
    turn = float(np.radians(bend["angle_deg"]))
    out = []
    for angle in np.arange(0.04 * turn, 0.97 * turn, 0.5 / bend["radius"]):
        spoke = one * np.cos(angle) + np.cross(axis, one) * np.sin(angle)
        out.append((centre + bend["radius"] * spoke, np.cross(axis, spoke)))
    return out


def edges(view: View, pipe: dict[str, Any], rng: np.random.Generator, per_edge: int) -> dict[str, list[list[float]]]:
    """Marks on the visible edges of a pipe, by the name of the piece."""
    out: dict[str, list[list[float]]] = {}
    radius = pipe["od"] / 2.0
    for piece in range(2 * len(pipe["bends"]) + 1):
        name = f"{'bend' if piece % 2 else 'leg'}{piece // 2 + 1}"
        marks: list[list[float]] = []
        for side in (1.0, -1.0):
            places: list[Array] = []
            shown: list[bool] = []
            for centre, way in walk(pipe, piece):
                sight = centre - view.eye
                square = sight - (sight @ way) * way
                away = float(np.linalg.norm(square))
                ahead = square / away
                sine = radius / away
                place = centre + radius * (side * np.sqrt(1 - sine**2) * np.cross(way, ahead) - sine * ahead)
                at, beside = view.px(np.stack([place, place + 0.1 * way]))
                places.append(at)
                shown.append(view.shows_edge(at, beside - at))
            near = np.convolve(np.pad(shown, RUN // 2), np.ones(RUN), "valid")
            run = np.array(shown) & (near >= MOST_OF_RUN)
            places = [place for place, seen in zip(places, run.tolist(), strict=True) if seen]
            marks += _slipped(places, rng, per_edge if piece % 2 == 0 else max(3, per_edge - 1))
        if len(marks) >= 2 and (view.file, pipe["name"], name) not in BEHIND_THE_NUT:
            out[name] = marks
    return out


def rim(view: View, target: dict[str, Any], least: float, most: float) -> list[Array]:
    """Places round a round face's edge, found in the picture between two radii."""
    centre, normal = np.array(target["p"]), np.array(target["axis"])
    one = np.cross(normal, [0.3, 0.5, 0.8])
    one /= np.linalg.norm(one)
    other = np.cross(normal, one)
    radius = (least + most) / 2.0
    places = []
    for angle in np.linspace(0, 2 * np.pi, 90, endpoint=False):
        out, way = np.cos(angle) * one + np.sin(angle) * other, np.cos(angle) * other - np.sin(angle) * one
        at, beside, further = view.px(
            np.stack([centre + radius * out, centre + radius * out + 0.1 * way, centre + most * out])
        )
        along = (beside - at) / np.linalg.norm(beside - at)
        across = np.array([-along[1], along[0]])
        step, clear = view.step_at(at, along)
        if clear and abs(step) <= abs((further - at) @ across) + 1.0:
            places.append(at + step * across)
    return places


def _slipped(places: list[Array], rng: np.random.Generator, count: int) -> list[list[float]]:
    """As many of the places as wanted, evenly apart, each with a hand's slip."""
    if len(places) < 4:
        return []
    chosen = np.linspace(0, len(places) - 1, min(count, len(places))).round().astype(int)
    return [[round(float(v), 1) for v in places[k] + rng.normal(0, SLIP_PX, 2)] for k in chosen]


def main() -> None:
    """Write the file."""
    truth = json.loads(TRUTH.read_text())
    rng = np.random.default_rng(20260314)
    targets = {target["name"]: target for target in truth["targets"]}
    found: dict[str, Any] = {"note": NOTE, "edges": {}, "rims": {}}
    for each in truth["views"]:
        view = View(each)
        found["edges"][view.file] = {
            pipe["name"]: marked for pipe in truth["pipes"] if (marked := edges(view, pipe, rng, per_edge=5))
        }
        found["rims"][view.file] = {
            name: _slipped(places, rng, 9)
            for name, (face, least, most) in RIMS.items()
            if view.file in CLEAR and len(places := rim(view, targets[face], least, most)) >= 45
        }
    OUT.write_text(json.dumps(found, indent=1) + "\n")


if __name__ == "__main__":
    main()
