"""Lines along which a field on a lattice is nought, as polylines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.drawing import Point

Array = NDArray[np.float64]
_Edge = tuple[int, int, bool]  # row and column of its first crossing, and whether it runs along a row

# Which edges of a cell a line joins, by which corners are above nought: 1 low left, 2 low right, 4 high right, 8 high
# left. Edges: 0 low, 1 right, 2 high, 3 left. Of a saddle the corners above are parted.
_JOINS: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 5: ((3, 0), (1, 2)), 6: ((0, 2),), 7: ((3, 2),),
    8: ((2, 3),), 9: ((2, 0),), 10: ((0, 1), (2, 3)), 11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip


def contours(field: Array, x_mm: Array, y_mm: Array) -> list[tuple[Point, ...]]:
    """Trace where a field passes through nought.

    Parameters
    ----------
    field
        (r, c) values at the crossings; NaN where there are none. [-]
    x_mm, y_mm
        (c,), (r,) where the lattice's lines lie. [mm]

    Returns
    -------
    list
        One polyline a piece, in the lattice's millimetres; a closed one ends where it began.
    """
    places: dict[_Edge, Point] = {}
    beside: dict[_Edge, list[_Edge]] = defaultdict(list)
    for row, column, case in _cells(field):
        edges = ((row, column, True), (row, column + 1, False), (row + 1, column, True), (row, column, False))
        for one, other in _JOINS[case]:
            for edge in (edges[one], edges[other]):
                places.setdefault(edge, _crossing(field, x_mm, y_mm, edge))
            beside[edges[one]].append(edges[other])
            beside[edges[other]].append(edges[one])
    return [tuple(places[edge] for edge in chain) for chain in _chains(beside)]


def _cells(field: Array) -> Iterator[tuple[int, int, int]]:
    """Row, column and case of each cell a line runs through."""
    above = field > 0.0
    corners = (above[:-1, :-1], above[:-1, 1:], above[1:, 1:], above[1:, :-1])
    case = np.sum([corner.astype(int) << k for k, corner in enumerate(corners)], axis=0)
    known = ~np.isnan(field)
    whole = known[:-1, :-1] & known[:-1, 1:] & known[1:, 1:] & known[1:, :-1]
    for row, column in np.argwhere(whole & (case > 0) & (case < 15)).tolist():
        yield row, column, int(case[row, column])


def _crossing(field: Array, x_mm: Array, y_mm: Array, edge: _Edge) -> Point:
    row, column, along = edge
    next_row, next_column = (row, column + 1) if along else (row + 1, column)
    first, second = float(field[row, column]), float(field[next_row, next_column])
    share = first / (first - second)
    return (
        float(x_mm[column] + share * (x_mm[next_column] - x_mm[column])),
        float(y_mm[row] + share * (y_mm[next_row] - y_mm[row])),
    )


def _chains(beside: dict[_Edge, list[_Edge]]) -> Iterator[list[_Edge]]:
    """Follow lines from their ends, then what is left: the closed ones."""
    left = {edge: list(others) for edge, others in beside.items()}
    for start in [*(edge for edge, others in beside.items() if len(others) == 1), *beside]:
        if not left[start]:
            continue
        chain = [start]
        while left[chain[-1]]:
            here = chain[-1]
            there = left[here].pop()
            left[there].remove(here)
            chain.append(there)
        yield chain
