"""Recover: a flat print's claimed band against the truth, on simulated photographs and the example's rendered ones.

Simulated: lens, refocusing, card stretch and bow, corners and marks are drawn from what the program believes of them.
Places are counted from the middle of the card as printed, as the print says. The share of the 95 % band that is held is
pooled over places whose errors go together within a scene: over 60 scenes it scatters by up to 2.8 % (the root of
0.05 x 0.95 / 60, one standard deviation).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from backhead import TRUTH, to_card
from flat_prints import board, true_px, view
from flat_scenes import FlatScene, flat_scene, knowing, looking, printed_at
from flat_scenes import true_px as simulated_px
from trialfit.survey.flat_band import band_mm, floor_mm, placed, proud_offset_mm, radius95_mm
from trialfit.survey.flat_limits import MOST_BAND_MM, in_picture, lattice_of
from trialfit.survey.flat_plane import FlatPlane, plane_for
from trialfit.survey.flat_view import FlatView, view_of
from trialfit.survey.flat_window import useful_window

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
MIDDLE_MM = np.array([64.0, 40.0])
FOCAL_PX = 2950.0
RINGS_MM = ((0.0, 50.0), (50.0, 100.0), (100.0, 200.0))


def _places(rng: np.random.Generator, middle: Array, inner: float, outer: float) -> Array:
    away, turn = np.sqrt(rng.uniform(inner**2, outer**2, 20)), rng.uniform(0.0, 2.0 * np.pi, 20)
    return np.asarray(middle + np.column_stack([away * np.cos(turn), away * np.sin(turn)]))


def _off(made: FlatScene, seen: FlatView, plane: FlatPlane, places: Array, height: float) -> Array:
    """How far from their places features of the plane, or proud of it, are printed."""
    card = made.truth.truth.card
    true_middle = MIDDLE_MM * (1.0 + card[0] + np.array([0.5, -0.5]) * card[1])
    flat = places - plane.middle_mm + true_middle
    px = simulated_px(made.truth.truth, FOCAL_PX, np.column_stack([flat, np.full(len(flat), height)]))
    shown = printed_at(seen, plane, px) - places - proud_offset_mm(seen, plane, places, height)
    return np.asarray(np.linalg.norm(shown, axis=1))


@pytest.mark.long
@pytest.mark.parametrize(("photographs", "scenes"), [(1, 100), (5, 60)])
def test_the_claimed_95_percent_holds_at_every_distance_in_the_plane_and_5_mm_proud(
    photographs: int, scenes: int
) -> None:
    held, drawn = (defaultdict[tuple[float, float], list[Bools]](list) for _ in range(2))
    errors = defaultdict[tuple[float, float], list[Array]](list)
    for seed in range(scenes):
        rng = np.random.default_rng(7000 + seed)
        made = flat_scene(rng, photographs)
        seen = view_of(made.job, made.sighted, "p0")
        plane = plane_for(seen, (64.0, 40.0))
        for inner, outer in RINGS_MM:
            places = _places(rng, plane.middle_mm, inner, outer)
            places = places[in_picture(seen, plane.at(places))]
            flat, proud = (radius95_mm(placed(seen, plane, places, height).covariance_mm2) for height in (0.0, 5.0))
            # The band drawn on the sheet is the larger of the two; what is worse than 3 mm is left white.
            band = np.maximum.reduce([flat, proud, floor_mm(seen, plane, places)])
            shown = band <= MOST_BAND_MM
            for height, own in ((0.0, flat), (5.0, proud)):
                off = _off(made, seen, plane, places, height)
                held[inner, height].append((off <= own)[shown])
                drawn[inner, height].append((off <= band)[shown])
                errors[inner, height].append(off[shown])
    for (inner, height), each in held.items():
        share, sheet = np.concatenate(each).mean(), np.concatenate(drawn[inner, height]).mean()
        p95 = np.percentile(np.concatenate(errors[inner, height]), 95)
        print(f"{photographs} photographs, from {inner:.0f} mm, {height:g} mm proud: 95 in 100 within {p95:.2f} mm, "
              f"covariance held {share:.3f}, drawn band held {sheet:.3f}")  # fmt: skip
        assert share > 0.91
        assert sheet > 0.92
        if photographs == 1:  # the least band of a lone photograph is the more cautious one
            assert p95 < {0.0: 0.5, 50.0: 0.8, 100.0: 2.9}[inner]
    assert 0.93 < np.concatenate([part for each in held.values() for part in each]).mean() < 0.985


@pytest.mark.long
def test_a_plane_through_three_surveyed_points_keeps_its_band() -> None:
    shares = []
    for seed in range(25):
        rng = np.random.default_rng(9000 + seed)
        made = flat_scene(rng, 5)
        seen = view_of(made.job, made.sighted, "p0")
        names = {point.name: point for point in seen.survey.points}
        truth = made.truth.truth.points_mm
        chosen = _well_spread(truth, [int(name[1:]) for name in names])
        plane = plane_for(seen, None, tuple(f"q{number}" for number in chosen))
        # The same frame laid through the true points: nought at the first, x towards the second.
        origin, along, up = _true_frame(truth[chosen], plane)
        places = _places(rng, plane.middle_mm, 0.0, 60.0)
        places = places[in_picture(seen, plane.at(places))]
        middle = (truth[chosen].mean(axis=0) - origin) @ np.stack([along, up], axis=1)
        flat = origin + (places - plane.middle_mm + middle) @ np.stack([along, up])
        off = printed_at(seen, plane, simulated_px(made.truth.truth, FOCAL_PX, flat)) - places
        shares.append((np.linalg.norm(off, axis=1) <= band_mm(seen, plane, places)).mean())
    print(f"plane through three points: band held {np.mean(shares):.3f}")
    assert 0.9 < np.mean(shares) <= 1.0


def test_the_plane_of_four_known_points_keeps_its_band_without_a_card() -> None:
    shares, errors = [], []
    flat = np.array([[0.0, 0.0], [120.0, 0.0], [120.0, 80.0], [0.0, 80.0]])
    for seed in range(40):
        rng = np.random.default_rng(seed)
        points = np.column_stack([flat, 10.0 + flat @ rng.normal(0.0, 0.2, 2)])
        high, round_ = np.radians(rng.uniform(30.0, 65.0)), rng.uniform(-0.8, 0.8)
        away = np.array([np.sin(round_) * np.cos(high), -np.cos(round_) * np.cos(high), np.sin(high)])
        target = points.mean(axis=0) + rng.normal(0.0, 15.0, 3)
        truth = replace(
            looking(points.mean(axis=0) + rng.uniform(280.0, 400.0) * away, target),
            lenses=np.array([[rng.normal(0, 0.04), *rng.normal(0, 15.0, 2), 0.05, -0.1, 4e-4, -3e-4, 0.05]]),
            breathing=np.array([[rng.normal(0, 0.003), *rng.normal(0, 3.0, 2)]]),
        )
        # Given to 0.5 mm (k = 2) each way, marked to 3 px.
        given = points + rng.normal(0.0, 0.25, points.shape)
        made = knowing(truth, points, given, rng.normal(0.0, 1.5, (4, 2)))
        seen = view_of(made.job, made.sighted, "p0")
        assert seen.alone
        plane = plane_for(seen, None)
        origin, along, up = _true_frame(points, plane)
        places = plane.middle_mm + rng.uniform(-60.0, 60.0, (30, 2))
        middle = (points.mean(axis=0) - origin) @ np.stack([along, up], axis=1)
        there = origin + (places - plane.middle_mm + middle) @ np.stack([along, up])
        off = np.linalg.norm(printed_at(seen, plane, simulated_px(truth, FOCAL_PX, there)) - places, axis=1)
        shares.append((off <= radius95_mm(placed(seen, plane, places).covariance_mm2)).mean())
        errors.append(off)
    p95 = np.percentile(np.concatenate(errors), 95)
    print(f"four known points: 95 in 100 within {p95:.2f} mm, covariance held {np.mean(shares):.3f}")
    assert 0.9 < np.mean(shares) < 1.0


def _well_spread(points: Array, among: list[int]) -> list[int]:
    """Three points, the widest triangle seen from the front."""
    first, second = max(((a, b) for a in among for b in among if a < b), key=lambda p: _apart(points, *p))
    line = (points[second] - points[first]) / _apart(points, first, second)
    off = {k: float(np.linalg.norm(np.cross(points[k] - points[first], line))) for k in among}
    return [first, second, max(off, key=lambda k: off[k])]


def _apart(points: Array, one: int, other: int) -> float:
    return float(np.linalg.norm(points[one] - points[other]))


def _true_frame(points: Array, plane: FlatPlane) -> tuple[Array, Array, Array]:
    along = (points[1] - points[0]) / np.linalg.norm(points[1] - points[0])
    third = points[2] - points[0]
    up = third - third @ along * along
    up /= np.linalg.norm(up)
    assert abs(up @ plane.up) > 0.9
    return points[0], along, up if up @ plane.up > 0.0 else -up


@pytest.mark.parametrize("alone", [False, True])
@pytest.mark.parametrize("name", ["front", "left", "right", "above_left", "low"])
def test_places_of_the_rendered_photographs_are_printed_within_the_band(name: str, alone: bool) -> None:
    # The true camera and lens of tests/photographs/backhead/truth.json say where each place is seen.
    seen = view(name, alone)
    plane = plane_for(seen, board().centre_mm)
    lattice = lattice_of(seen, plane, useful_window(seen, plane), 15.0)
    places = np.stack(np.meshgrid(lattice.x_mm, lattice.y_mm), axis=2)[lattice.shown]
    for height in (0.0, 5.0):
        px = true_px(name, np.column_stack([places - plane.middle_mm + MIDDLE_MM, np.full(len(places), height)]))
        off = printed_at(seen, plane, px) - places - proud_offset_mm(seen, plane, places, height)
        long, band = np.linalg.norm(off, axis=1), band_mm(seen, plane, places)
        print(f"{name}{', alone' if alone else ''}, {height:g} mm proud: {len(long)} places, "
              f"worst {long.max():.2f} mm, {(long <= band).mean():.3f} within the band")  # fmt: skip
        assert len(long) > 100
        assert (long <= band).mean() >= 0.95


@pytest.mark.parametrize("name", ["front", "left", "right", "above_left", "low"])
def test_the_papers_own_corners_lie_where_the_truth_has_them(name: str) -> None:
    # truth.json, card.page_corners; the paper is 148 x 105 mm about the board of 128 x 80 mm.
    paper = to_card(TRUTH["card"]["page_corners"])
    assert paper[0] == pytest.approx([-10.0, 92.5, 0.0], abs=1e-6)
    seen = view(name)
    plane = plane_for(seen, board().centre_mm)
    px = true_px(name, paper)
    inside = ((px >= 0) & (px < [4000, 3000])).all(axis=1)
    off = np.linalg.norm(printed_at(seen, plane, px[inside]) - paper[inside, :2], axis=1)
    assert inside.sum() >= 2
    # Counted in the job frame, not from the card's middle: its check line adds 0.2 mm in 148 (k = 2), so 0.1 mm here.
    assert (off <= band_mm(seen, plane, paper[inside, :2]) + 0.1).all()
