"""Where the places of a water circuit stand on paper: in columns from the tank, with few crossings, at right angles.

Each way into a reservoir gets a symbol of its own, so that no line has to go round the drawing to reach the one tank.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from trialfit.feed.records import TANK, Circuit
from trialfit.sheets.drawing import Point
from trialfit.sheets.feed_signs import kept_apart

_SWEEPS = 24


@dataclass(frozen=True)
class Laid:
    """A circuit laid out.

    Parameters
    ----------
    places
        By number of the place: where it stands. [mm]
    leaves
        By number of a way that leads to a reservoir: where that reservoir's symbol stands. [mm]
    runs
        By number of the way: the corners of its line, from `a` to `b`. [mm]
    symbols
        By number of the way: where its symbol sits, and the corner before it in the line. [mm], [-]
    upright
        Ways whose symbol sits on an upright piece.
    """

    places: Mapping[int, Point]
    leaves: Mapping[int, Point]
    runs: Mapping[int, tuple[Point, ...]]
    symbols: Mapping[int, tuple[Point, int]]
    upright: frozenset[int]


def laid_out(circuit: Circuit, wide_mm: float, row_mm: float = 12.5) -> Laid:
    """Lay a circuit out.

    Parameters
    ----------
    circuit
        The circuit.
    wide_mm
        Width there is. [mm]
    row_mm
        From row to row. [mm]

    Returns
    -------
    Laid
        Every place, line and symbol; the same circuit always comes out the same.
    """
    count = len(circuit.nodes)
    ends = [(way.a, way.b if way.b >= 0 else count + n) for n, way in enumerate(circuit.ways)]
    vertices = [*range(count), *(b for _, b in ends if b >= count)]
    column = _columns(circuit, ends)
    chains, columns = _with_stops(ends, vertices, column)
    order = _ordered(chains, columns)
    row = _rows(order, chains)
    step = wide_mm / max(1, len(order) - 1)
    at = {v: (columns[v] * step, -row[v] * row_mm) for v in columns}
    runs: dict[int, tuple[Point, ...]] = {}
    symbols: dict[int, tuple[Point, int]] = {}
    upright: set[int] = set()
    lanes = _lanes(chains, columns, row)
    for n, chain in enumerate(chains):
        runs[n], symbols[n], stands = _run(n, chain, at, columns, lanes, step)
        if stands:
            upright.add(n)
    leaves = {n: at[b] for n, (_, b) in enumerate(ends) if b >= count}
    places = {v: at[v] for v in range(count)}
    signed = [n for n, way in enumerate(circuit.ways) if way.b >= 0 and (way.one_way or way.kind == "cock")]
    symbols, stand = kept_apart(signed, runs, symbols, list(places.values()))
    return Laid(places, leaves, runs, symbols, frozenset((upright - set(signed)) | stand))


def _columns(circuit: Circuit, ends: Sequence[tuple[int, int]]) -> dict[int, int]:
    """Steps from the tank; what only the boiler is joined to counts on from its neighbours."""
    count = len(circuit.nodes)
    near: dict[int, set[int]] = {n: set() for n in range(count)}
    for a, b in ends:
        if b < count:
            near[a].add(b)
            near[b].add(a)
    column: dict[int, int] = {}
    starts = [[way.a for way in circuit.ways if way.b == TANK], list(range(count))]
    for start in starts:
        fresh = [n for n in dict.fromkeys(start) if n not in column]
        for first in fresh if start is starts[1] else [-1]:
            edge = fresh if first < 0 else [first]
            edge = [n for n in edge if n not in column]
            column.update(dict.fromkeys(edge, 1))
            while edge:
                edge = sorted({m for n in edge for m in near[n] if m not in column}) if edge else []
                column.update({m: 1 + min(column[k] for k in near[m] if k in column) for m in edge})
    for n, (a, b) in enumerate(ends):
        if b >= count:
            column[b] = column[a] + (-1 if circuit.ways[n].b == TANK else 1)
    return column


def _with_stops(
    ends: Sequence[tuple[int, int]], vertices: Sequence[int], column: Mapping[int, int]
) -> tuple[list[list[int]], dict[int, int]]:
    """Break lines that pass columns into steps, each with a stop of its own in the column it passes."""
    columns = {v: column[v] for v in vertices}
    chains: list[list[int]] = []
    spare = max(vertices) + 1
    for a, b in ends:
        sign = 1 if column[b] > column[a] else -1
        chain = [a]
        for passed in range(column[a] + sign, column[b], sign) if column[a] != column[b] else ():
            columns[spare] = passed
            chain.append(spare)
            spare += 1
        chains.append([*chain, b])
    return chains, columns


def _neighbours(chains: Iterable[Sequence[int]]) -> dict[int, list[int]]:
    near: dict[int, list[int]] = {}
    for chain in chains:
        for a, b in pairwise(chain):
            near.setdefault(a, []).append(b)
            near.setdefault(b, []).append(a)
    return near


def _ordered(chains: Sequence[Sequence[int]], columns: Mapping[int, int]) -> list[list[int]]:
    """Order each column by its neighbours on one side, then on the other, and keep the order with fewest crossings."""
    order = [[v for v in columns if columns[v] == c] for c in range(max(columns.values()) + 1)]
    near = _neighbours(chains)
    best, least = [list(each) for each in order], _crossings(order, near)
    for sweep in range(_SWEEPS):
        side = -1 if sweep % 2 else 1
        for c in range(len(order)) if side < 0 else reversed(range(len(order))):
            place = {v: float(n) for v, n in _places(order).items()}
            mean: dict[int, float] = {}
            for v in order[c]:
                there = [place[m] for m in near.get(v, ()) if columns[m] == c + side]
                mean[v] = sum(there) / len(there) if there else place[v]
            order[c].sort(key=lambda v: mean[v])
        if (now := _crossings(order, near)) < least:
            best, least = [list(each) for each in order], now
    return best


def _places(order: Sequence[Sequence[int]]) -> dict[int, int]:
    return {v: n for each in order for n, v in enumerate(each)}


def _crossings(order: Sequence[Sequence[int]], near: Mapping[int, Sequence[int]]) -> int:
    """How often lines between neighbouring columns cross."""
    place, count = _places(order), 0
    for left, right in pairwise(order):
        steps = [(place[v], place[m]) for v in left for m in near.get(v, ()) if m in right]
        count += sum(a < c and b > d for a, b in steps for c, d in steps)
    return count


def _rows(order: Sequence[Sequence[int]], chains: Sequence[Sequence[int]]) -> dict[int, float]:
    """Draw everything as level with its neighbours as the order allows, a row apart at least."""
    near = _neighbours(chains)
    row = {v: float(n) for each in order for n, v in enumerate(each)}
    for sweep in range(_SWEEPS):
        for each in order if sweep % 2 == 0 else reversed(order):
            wish = [sum(row[m] for m in near.get(v, [v])) / len(near.get(v, [v])) for v in each]
            row.update(zip(each, _apart(wish), strict=True))
    snapped = {v: round(2.0 * r) / 2.0 for v, r in row.items()}
    for each in order:
        for upper, lower in pairwise(each):
            snapped[lower] = max(snapped[lower], snapped[upper] + 1.0)
    return snapped


def _apart(wish: Sequence[float]) -> list[float]:
    """Nearest rows to those wished for that stand one apart: neighbours too close share their mean."""
    blocks: list[list[float]] = []
    for n, each in enumerate(wish):
        blocks.append([each - n, 1.0])
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (a, wide_a), (b, wide_b) = blocks[-2:]
            blocks[-2:] = [[(a * wide_a + b * wide_b) / (wide_a + wide_b), wide_a + wide_b]]
    flat = [level for level, wide in blocks for _ in range(int(wide))]
    return [level + n for n, level in enumerate(flat)]


def _lanes(
    chains: Sequence[Sequence[int]], columns: Mapping[int, int], row: Mapping[int, float]
) -> dict[tuple[int, int, int], float]:
    """The upright piece of each step between columns: a lane of its own in the middle half of the way."""
    between: dict[int, list[tuple[int, int, int]]] = {}
    for n, chain in enumerate(chains):
        for a, b in pairwise(chain):
            if row[a] != row[b]:
                between.setdefault(min(columns[a], columns[b]), []).append((n, a, b))
    return {
        step: 0.25 + 0.5 * (k + 0.5) / len(steps)
        for steps in between.values() for k, step in enumerate(steps)
    }  # fmt: skip


def _run(
    n: int, chain: Sequence[int], at: Mapping[int, Point], columns: Mapping[int, int],
    lanes: Mapping[tuple[int, int, int], float], step: float,
) -> tuple[tuple[Point, ...], tuple[Point, int], bool]:  # fmt: skip
    """A line of level and upright pieces, and its symbol in the longest level piece, or the only upright one."""
    points = [at[chain[0]]]
    for a, b in pairwise(chain):
        (xa, ya), (xb, yb) = at[a], at[b]
        lane = lanes.get((n, a, b), 0.5)
        across = xa + 0.3 * step if columns[a] == columns[b] else min(xa, xb) + lane * step
        if ya != yb:
            points += [(across, ya), (across, yb)]
        points.append((xb, yb))
    straight = [points[0]]
    for k, point in enumerate(points[1:], 1):
        last = k == len(points) - 1
        if not last and points[k + 1][1] == point[1] == straight[-1][1]:
            continue
        straight.append(point)
    points = straight
    same = len(chain) == 2 and columns[chain[0]] == columns[chain[1]]
    pieces = range(len(points) - 1)
    if same and len(points) == 4:
        best = 1
    else:
        level = [k for k in pieces if points[k][1] == points[k + 1][1]]
        best = max(level, key=lambda k: (round(abs(points[k + 1][0] - points[k][0]), 3), k))
    (xa, ya), (xb, yb) = points[best], points[best + 1]
    return tuple(points), ((0.5 * (xa + xb), 0.5 * (ya + yb)), best), same and len(points) == 4
