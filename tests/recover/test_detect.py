"""Recover: the scale card in photographs whose truth is known, rendered ones and ones warped on the spot."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from trialfit.errors import Refusal
from trialfit.store.photographs import read_photograph
from trialfit.survey.card import STANDARD_CARDS, CardBoard, corner_positions_mm
from trialfit.survey.detect import CardSighting, find_card, find_cards
from trialfit.survey.photograph import Photograph

Array = NDArray[np.float64]

HERE = Path(__file__).parents[1]
FILES = HERE.parent / "examples" / "backhead" / "photographs"
TRUTH = json.loads((HERE / "photographs" / "backhead" / "truth.json").read_text())
A6 = STANDARD_CARDS["A6"]


@cache
def _photograph(name: str) -> Photograph:
    return read_photograph(FILES / f"{name}.jpg")


def _true_px(name: str) -> Array:
    view = next(view for view in TRUTH["views"] if view["file"] == f"{name}.jpg")
    assert all(view["card_visible"])
    return np.array(view["card_px"])


def _off_px(sighting: CardSighting, truth_px: Array) -> Array:
    return np.asarray(np.linalg.norm(sighting.corners_px - truth_px[sighting.corner_ids], axis=1))


def test_corners_in_the_backhead_photographs_lie_on_the_truth() -> None:
    names = [f"view{place}" for place in range(6)]
    sightings = find_cards([_photograph(name) for name in names], A6, threads=2)
    assert [sighting.photograph for sighting in sightings] == names
    everything = []
    for sighting in sightings[:5]:
        off = _off_px(sighting, _true_px(sighting.photograph))
        everything.append(off)
        print(
            f"{sighting.photograph}: {len(off)} of 28 corners, worst {off.max():.2f} px, "
            f"rms {np.sqrt((off**2).mean()):.3f} px. {sighting.note}"
        )
        assert len(off) >= 20
        assert off.max() < 2.0
    rms_px = float(np.sqrt((np.concatenate(everything) ** 2).mean()))
    print(f"all: rms {rms_px:.3f} px, {len(np.concatenate(everything))} corners")
    assert rms_px < 0.2
    # view5 was taken close up: the truth puts every corner below its lower edge.
    assert _true_px("view5")[:, 1].min() > _photograph("view5").height_px
    assert len(sightings[5].corner_ids) == 0
    assert sightings[5].note == "The card is not in view."


def test_several_at_once_are_the_same_as_one_by_one() -> None:
    photographs = [_photograph(f"view{place}") for place in (2, 3)]
    told: list[str] = []
    together = find_cards(photographs * 3, A6, threads=4, on_each=told.append)
    alone = [find_card(photograph, A6) for photograph in photographs]
    for sighting, photograph in zip(together, alone * 3, strict=True):
        assert np.array_equal(sighting.corner_ids, photograph.corner_ids)
        assert np.array_equal(sighting.corners_px, photograph.corners_px)
    assert sorted(told) == ["view2"] * 3 + ["view3"] * 3


@pytest.mark.parametrize(("orientation", "stored"), [(6, Image.Transpose.ROTATE_90), (3, Image.Transpose.ROTATE_180)])
def test_a_photograph_stored_on_its_side_gives_the_same_corners(
    tmp_path: Path, orientation: int, stored: Image.Transpose
) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    with Image.open(FILES / "view2.jpg") as picture:
        picture.convert("L").transpose(stored).save(tmp_path / "turned.jpg", exif=exif, quality=95)
    sighting = find_card(read_photograph(tmp_path / "turned.jpg"), A6)
    assert len(sighting.corner_ids) == 28
    assert _off_px(sighting, _true_px("view2")).max() < 0.3


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_the_card_may_lie_any_way_round(quarters: int) -> None:
    upright = _photograph("view3")
    grey = np.ascontiguousarray(np.rot90(upright.grey, quarters))
    turned = replace(upright, grey=grey, width_px=grey.shape[1], height_px=grey.shape[0])
    sighting = find_card(turned, A6)
    # A quarter turn to the left takes (x, y) to (y, width - 1 - x), the centre of the top left pixel being (0, 0).
    truth, width = _true_px("view3"), upright.width_px
    for _ in range(quarters):
        truth = np.column_stack((truth[:, 1], width - 1 - truth[:, 0]))
        width = upright.height_px if width == upright.width_px else upright.width_px
    assert len(sighting.corner_ids) == 28
    assert _off_px(sighting, truth).max() < 0.5


@pytest.mark.parametrize("name", ["view0", "view4"])
def test_a_mirror_image_is_refused_and_said_to_be_one(name: str) -> None:
    flipped = replace(_photograph(name), grey=np.ascontiguousarray(_photograph(name).grey[:, ::-1]))
    with pytest.raises(Refusal) as refused:
        find_cards([_photograph("view5"), flipped], A6)
    assert str(refused.value) == (
        f"{name}.jpg: photograph {name}: got a mirror image of the card, wanted a photograph as the eye sees it. The "
        "phone flipped it, as it does with its front camera: flip it back and set its marks anew, or ask for one taken "
        "with the main camera."
    )


@pytest.mark.parametrize("size", ["A5", "A4"])
def test_another_card_than_the_job_says_gives_no_corners_and_is_named(size: str) -> None:
    sighting = find_card(_photograph("view2"), STANDARD_CARDS[size])
    assert len(sighting.corner_ids) == 0
    assert "another card than the job says" in sighting.note


@pytest.mark.parametrize("cut_px", [1150, 1350, 1500])
def test_a_card_cut_off_by_the_frame_gives_the_corners_that_are_left(cut_px: int) -> None:
    whole = _photograph("view2")
    grey = np.ascontiguousarray(whole.grey[:, cut_px:])
    sighting = find_card(replace(whole, grey=grey, width_px=grey.shape[1]), A6)
    truth = _true_px("view2") - [cut_px, 0]
    off = _off_px(sighting, truth)
    in_view = int((truth[:, 0] > 0).sum())
    print(f"cut at {cut_px}: {len(off)} of the {in_view} corners in view, worst {off.max(initial=0.0):.2f} px")
    assert len(off) >= in_view - 6  # a corner needs about half of each of its edges
    assert off.max(initial=0.0) < 2.0


def test_a_corner_that_is_out_of_its_place_is_left_out() -> None:
    whole = _photograph("view3")
    x, y = np.rint(_true_px("view3")[10]).astype(int)
    grey = whole.grey.copy()
    reach, shift = 110, 6  # the whole neighbourhood of one corner slides by 6 px, as no lens or bow can make it
    grey[y - reach : y + reach, x - reach : x + reach] = whole.grey[
        y - reach : y + reach, x - reach - shift : x + reach - shift
    ]
    sighting = find_card(replace(whole, grey=grey), A6)
    assert 10 not in sighting.corner_ids
    assert len(sighting.corner_ids) >= 23
    assert _off_px(sighting, _true_px("view3")).max() < 2.0


def test_something_lying_on_the_card_costs_only_the_corners_under_it() -> None:
    whole = _photograph("view2")
    x, y = np.rint(_true_px("view2")[17]).astype(int)
    grey = whole.grey.copy()
    cv2.circle(grey, (int(x), int(y)), 120, 90, -1)
    sighting = find_card(replace(whole, grey=grey), A6)
    assert 17 not in sighting.corner_ids
    assert len(sighting.corner_ids) >= 20
    assert _off_px(sighting, _true_px("view2")).max() < 2.0


def test_grain_and_stripes_are_no_card() -> None:
    rng = np.random.default_rng(3)
    y, x = np.mgrid[0:1500, 0:2000]
    checks = ((x // 40 + y // 40) % 2 * 160 + 40 + rng.normal(0, 8, x.shape)).clip(0, 255).astype(np.uint8)
    grain = rng.integers(0, 256, x.shape).astype(np.uint8)
    for grey in (checks, grain):
        sighting = find_card(replace(_photograph("view5"), grey=grey, width_px=2000, height_px=1500), A6)
        assert len(sighting.corner_ids) == 0


@dataclass(frozen=True)
class Shot:
    """A card seen through a known lens from a known place."""

    size: str
    width_px: int
    focal_px: float
    distance_mm: float
    tilt_deg: float
    turn_deg: float
    aside_mm: float = 0.0
    blur_px: float = 0.8
    grain: float = 4.0
    k1: float = 0.0

    @property
    def height_px(self) -> int:
        return self.width_px * 3 // 4

    @property
    def pose(self) -> tuple[Array, Array]:
        """Turned in its plane, then tilted back, then moved away; OpenCV's board frame."""
        turn = cv2.Rodrigues(np.array([0.0, 0.0, np.radians(self.turn_deg)]))[0]
        tilt = cv2.Rodrigues(np.array([np.radians(self.tilt_deg), 0.0, 0.0]))[0]
        return np.asarray(tilt @ turn), np.array([self.aside_mm, 0.0, self.distance_mm])

    @property
    def camera(self) -> tuple[Array, Array]:
        matrix = np.diag([self.focal_px, self.focal_px, 1.0])
        matrix[:2, 2] = (self.width_px - 1) / 2, (self.height_px - 1) / 2
        return matrix, np.array([self.k1, 0.0, 0.0, 0.0, 0.0])


@lru_cache(maxsize=1)
def _rays(width_px: int, height_px: int, focal_px: float, k1: float) -> Array:
    """Where each pixel looks, by OpenCV, one millimetre before the lens."""
    matrix, lens = Shot("", width_px, focal_px, 0.0, 0.0, 0.0, k1=k1).camera
    px = np.mgrid[0:height_px, 0:width_px][::-1].reshape(2, -1).T.astype(float)
    rays = cv2.undistortPoints(px[:, None], matrix, lens).reshape(-1, 2)
    return np.column_stack((rays, np.ones(len(rays))))


def _taken(shot: Shot) -> tuple[Photograph, CardBoard, Array]:
    """Draw OpenCV's own board through OpenCV's own lens, and where its corners fall."""
    board = STANDARD_CARDS[shot.size]
    (wide, high), margin, scale = board.board_mm, 8.0, 12.0
    drawn = board.aruco.generateImage((round(wide * scale), round(high * scale)))
    drawn = np.pad(drawn, round(margin * scale), constant_values=255)
    (rotation, move), (matrix, lens) = shot.pose, shot.camera
    middle = np.array([wide / 2, high / 2, 0.0])
    to_plane = np.linalg.inv(np.column_stack((rotation[:, :2], move)))
    place = _rays(shot.width_px, shot.height_px, shot.focal_px, shot.k1) @ to_plane.T
    # A sample of the drawing stands for the middle of its pixel.
    at = ((place[:, :2] / place[:, 2:] + middle[:2] + margin) * scale - 0.5).astype(np.float32)
    at = at.reshape(shot.height_px, shot.width_px, 2)
    # Sampled once a pixel, the drawing must first be as soft as a pixel of the picture.
    soft = cv2.GaussianBlur(drawn, (0, 0), max(0.5, 0.5 * scale * shot.distance_mm / shot.focal_px))
    grey = cv2.remap(soft, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=110)
    grey = cv2.GaussianBlur(grey, (0, 0), shot.blur_px).astype(float) * 0.7 + 30.0
    grey += np.random.default_rng(4).normal(0.0, shot.grain, grey.shape)
    corners = np.asarray(board.aruco.getChessboardCorners(), dtype=float) - middle
    truth = cv2.projectPoints(corners, cv2.Rodrigues(rotation)[0], move, matrix, lens)[0].reshape(-1, 2)
    photograph = Photograph(
        "shot", "shot.jpg", shot.width_px, shot.height_px, grey.clip(0, 255).astype(np.uint8),
        None, None, "", 1.0, "", (), "",
    )  # fmt: skip
    return photograph, board, np.asarray(truth)


@pytest.mark.parametrize(
    ("shot", "least"),
    [
        (Shot("A6", 1600, 1190.0, 350.0, 35.0, 20.0), 28),
        (Shot("A6", 1600, 1190.0, 300.0, 0.0, 180.0), 28),
        (Shot("A6", 1600, 1190.0, 300.0, -62.0, 100.0), 26),  # very obliquely
        (Shot("A6", 1600, 1190.0, 250.0, 40.0, -75.0, aside_mm=150.0), 8),  # partly out of the frame
        (Shot("A6", 1600, 1190.0, 800.0, 30.0, 45.0), 24),  # far off in a shrunk copy: a square is 24 px
        (Shot("A6", 1600, 1190.0, 350.0, 35.0, 20.0, blur_px=2.0, grain=10.0), 24),  # out of focus and in the dark
        (Shot("A5", 2400, 1780.0, 420.0, 45.0, 130.0, k1=-0.12), 54),
        (Shot("A4", 2400, 1780.0, 420.0, 30.0, -10.0, k1=0.10), 60),  # fills the picture, where the lens bends most
    ],
    ids=["plain", "upside down", "oblique", "cut off", "far", "soft", "A5", "A4"],
)
def test_cards_drawn_through_a_known_lens_are_found_where_they_are(shot: Shot, least: int) -> None:
    photograph, board, truth = _taken(shot)
    sighting = find_card(photograph, board)
    off = _off_px(sighting, truth)
    print(
        f"{len(off)} of {board.corner_count} corners, worst {off.max():.2f} px, rms {np.sqrt((off**2).mean()):.3f} px"
    )
    assert len(off) >= least
    assert len(off) <= board.corner_count
    assert off.max() < 2.0
    assert np.sqrt((off**2).mean()) < (0.2 if shot.blur_px < 1.0 else 0.5)


def test_the_truth_of_the_drawn_cards_has_the_corners_in_the_order_of_the_card() -> None:
    # Looking straight down on the upright board, x of the job frame runs right and y up: pixels run right and down.
    _, board, truth = _taken(Shot("A6", 1000, 700.0, 300.0, 0.0, 0.0))
    job = corner_positions_mm(board)[:, :2] - board.centre_mm
    middle = (np.array([1000, 750]) - 1) / 2
    assert np.abs(truth - (middle + job * [1, -1] * 700.0 / 300.0)).max() < 1e-4
