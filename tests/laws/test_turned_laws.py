"""Laws of turned parts: turned end for end nothing changes, more bore is never more wall, no blank is too short, walls
agree with a dense count of points, and nothing written on a drawing lies on anything else."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import hypot
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from trialfit.making.turned.across import net_shares
from trialfit.making.turned.cuts import lengths
from trialfit.making.turned.plan import plan_turned
from trialfit.making.turned.profile import Piece, inner_profile, outer_profile
from trialfit.making.turned.solid import volume_mm3
from trialfit.making.turned.wall import least_wall
from trialfit.sheets.drawing import Line, Text, extent
from trialfit.sheets.turned_drawing import dimensioned, turned_drawing
from turned_jobs import bench, outsides, part, parts

FEW = settings(max_examples=40, deadline=None)


@FEW
@given(parts())
def test_turned_end_for_end_it_is_the_same_part(lines: dict[str, Any]) -> None:
    made = part(**lines)
    back = made.mirrored()
    assert back.long_mm == pytest.approx(made.long_mm)
    assert volume_mm3(back) == pytest.approx(volume_mm3(made), rel=1e-9)
    assert back.mirrored().outside == made.outside
    one, other = least_wall(made), least_wall(back)
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        assert other.wall_mm == pytest.approx(one.wall_mm, abs=1e-9)


@FEW
@given(outsides(), st.floats(0.5, 5.0), st.floats(0.0, 1.0))
def test_more_bore_is_never_more_wall_nor_more_metal(lines: list[dict[str, Any]], bore: float, more: float) -> None:
    narrow, wide = (
        part(outside=lines, from_left=[{"bore": f"{d:.4f} mm", "through": True}]) for d in (bore, bore + more)
    )
    thick, thin = least_wall(narrow), least_wall(wide)
    assert thick is not None and thin is not None
    assert thin.wall_mm <= thick.wall_mm + 1e-9
    assert volume_mm3(wide) <= volume_mm3(narrow) + 1e-9


@FEW
@given(st.floats(0.0, 20.0), st.floats(0.1, 15.0), st.floats(0.0, 1.0))
def test_no_blank_is_shorter_than_what_shows_and_what_is_hidden(shows: float, hidden: float, pm: float) -> None:
    joint = {
        "a": "tail.a",
        "b": "bush.thread",
        "hidden": {"value": f"{hidden:.3f} mm", "pm": f"{pm + 0.001:.3f} mm", "by": "workshop"},
    }
    stem = {"thread": "1/4x40", "shows": f"{shows:.3f} mm", "port": "tail.a"}
    made = lengths(part(joint, outside=[{"plain": "10 mm", "long": "5 mm"}, stem]), bench())
    assert made.finished.value == pytest.approx(5.0 + shows + hidden, abs=2e-3)
    assert made.saw.value >= made.finished.value
    assert made.finished.k2 == pytest.approx(pm + 0.001, abs=1e-3)


def _points(pieces: tuple[Piece, ...], step: float) -> NDArray[np.float64]:
    """Points along a profile, its steps included, no two neighbours further apart than a step."""
    corners = [p for piece in pieces for p in ((piece.start_mm, _thick(piece, 0)), (piece.end_mm, _thick(piece, 1)))]
    runs = []
    for (z0, r0), (z1, r1) in pairwise(corners):
        share = np.linspace(0.0, 1.0, int(hypot(z1 - z0, r1 - r0) / step) + 2)
        runs.append(np.column_stack([z0 + (z1 - z0) * share, r0 + (r1 - r0) * share]))
    return np.vstack(runs)


def _thick(piece: Piece, end: int) -> float:
    radius = (piece.start_r_mm, piece.end_r_mm)[end]
    return min(radius, piece.flats_mm / 2.0) if piece.flats_mm else radius


@FEW
@given(outsides(), st.floats(1.0, 5.0), st.sampled_from(["60 deg", "90 deg"]), st.floats(0.2, 0.9))
def test_least_wall_agrees_with_a_dense_count_of_points(
    lines: list[dict[str, Any]], bore: float, cone: str, wider: float
) -> None:
    holes = [{"bore": f"{bore:.3f} mm", "through": True}, {"cone": cone, "mouth": f"{bore + wider:.3f} mm"}]
    made = part(outside=lines, from_left=holes)
    wall = least_wall(made)
    assert wall is not None
    step = 0.05
    outer, inner = _points(outer_profile(made, "core"), step), _points(inner_profile(made, "core"), step)
    counted = float(np.sqrt(((outer[:, None, :] - inner[None, :, :]) ** 2).sum(axis=2)).min())
    if wall.wall_mm > 0.0:
        # Points lie on the lines, so they are never nearer than these; and never further than half a step on each.
        assert wall.wall_mm <= counted + 1e-9
        assert counted <= wall.wall_mm + step


@FEW
@given(st.floats(4.0, 12.0), st.floats(0.0, 0.7), st.floats(0.05, 0.6), st.floats(0.0, 360.0), st.booleans())
def test_a_cross_hole_takes_no_more_than_is_there(
    outside: float, bore: float, hole: float, turn: float, both: bool
) -> None:
    holes = [(hole * outside, turn + half) for half in ((0.0, 180.0) if both else (0.0,))]
    area, modulus = net_shares(outside, bore * outside, holes)
    assert 0.0 <= area < 1.0
    assert 0.0 <= modulus < 1.0
    # Which way round it stands changes nothing; a second wall takes twice the area.
    assert net_shares(outside, bore * outside, [(d, 0.0 if t == turn else 180.0) for d, t in holes]) == pytest.approx(
        (area, modulus), abs=1e-9
    )
    one, _ = net_shares(outside, bore * outside, holes[:1])
    assert area == pytest.approx(1.0 - (1.0 - one) * len(holes))


@pytest.mark.parametrize("inner", [0.0, 0.9, 1.8])
def test_a_count_of_squares_gives_the_same_net_section(inner: float) -> None:
    out, half, count = 4.0, 1.1, 1200
    x = (np.arange(count) + 0.5) / count * 2.0 * out - out
    xs, ys = np.meshgrid(x, x)
    ring = (xs**2 + ys**2 < out**2) & (xs**2 + ys**2 > inner**2)
    net = ring & ~((np.abs(xs) < half) & (ys > 0.0))
    middle = ys[net].mean()
    second = ((ys[net] - middle) ** 2).sum() / (ys[ring] ** 2).sum()
    area, modulus = net_shares(2.0 * out, 2.0 * inner, [(2.0 * half, 0.0)])
    assert area == pytest.approx(net.sum() / ring.sum(), abs=2e-3)
    assert modulus == pytest.approx(second * out / (out + abs(middle)), abs=4e-3)


# ---- drawings


def _boxes(texts: list[Text]) -> list[tuple[float, float, float, float]]:
    return [extent([text]) for text in texts]


def _apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def _enters(line: Line, box: tuple[float, float, float, float]) -> bool:
    """Whether a line comes more than a fifth of a millimetre into a box, by points along it."""
    (x0, y0), (x1, y1) = line.start, line.end
    shares = np.linspace(0.0, 1.0, 60)
    xs, ys = x0 + (x1 - x0) * shares, y0 + (y1 - y0) * shares
    inside = (xs > box[0] + 0.2) & (xs < box[2] - 0.2) & (ys > box[1] + 0.2) & (ys < box[3] - 0.2)
    return bool(inside.any())


def _cross(one: Line, other: Line) -> bool:
    def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    p, q, r, s = one.start, one.end, other.start, other.end
    return side(p, q, r) * side(p, q, s) < -1e-9 and side(r, s, p) * side(r, s, q) < -1e-9


@settings(max_examples=40, deadline=None)
@given(parts(), st.sampled_from([1.0, 2.0, 5.0]))
def test_nothing_written_lies_on_anything_else(lines: dict[str, Any], scale: float) -> None:
    drawn = dimensioned(plan_turned(part(**lines), bench()), scale)
    layered = [each.item for each in drawn if each.layer == "dimension"]
    texts = [item for item in layered if isinstance(item, Text)]
    leaders = [item for item in layered if isinstance(item, Line)]
    boxes = _boxes(texts)
    assert all(_apart(one, other) for one, other in combinations(boxes, 2))
    assert not [(line, text) for line in leaders for text, box in zip(texts, boxes, strict=True) if _enters(line, box)]
    assert not any(_cross(one, other) for one, other in combinations(leaders, 2))


@settings(max_examples=40, deadline=None)
@given(parts())
def test_a_drawing_fits_its_paper_at_a_draughtsmans_scale(lines: dict[str, Any]) -> None:
    drawn = turned_drawing(plan_turned(part(**lines), bench()), 186.0, 150.0)
    assert drawn.drawing.width_mm <= 186.0
    assert drawn.drawing.height_mm <= 150.0
    up, down = (int(figure) for figure in drawn.scale_text.split(":"))
    assert drawn.scale == pytest.approx(up / down)
