"""Where the signs of checks and cocks sit on their lines: clear of every other line, place and sign."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from trialfit.sheets.drawing import Point

Spot = tuple[Point, int]

_HALF_MM = 2.6
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def kept_apart(
    signed: Sequence[int], runs: Mapping[int, Sequence[Point]], symbols: Mapping[int, Spot], places: Sequence[Point]
) -> tuple[dict[int, Spot], frozenset[int]]:
    """Move signs along their lines until each is clear.

    Parameters
    ----------
    signed
        Ways that have a sign.
    runs
        By number of the way: the corners of its line. [mm]
    symbols
        By number of the way: where its sign would sit, and the corner before it in the line. [mm], [-]
    places
        Where the places are. [mm]

    Returns
    -------
    tuple
        The same, moved where that is better; and the ways whose sign sits on an upright piece.
    """
    found = dict(symbols)
    done: list[Point] = []
    for n in signed:
        others = [ends for m, run in runs.items() if m != n for ends in pairwise(run)]
        ends = [*places, *done]
        spots = [symbols[n], *_along(runs[n])]
        # The first of the best: it stays where it is wanted unless another spot is clearer.
        covered = [_covered(spot, ends, others) for spot, _ in spots]
        found[n] = spots[covered.index(min(covered))]
        done.append(found[n][0])
    upright = frozenset(n for n in signed if _is_upright(runs[n], found[n][1]))
    return found, upright


def _along(run: Sequence[Point]) -> Iterator[Spot]:
    """Spots on the pieces that have room for a sign, the longest first."""
    long = {k: abs(b[0] - a[0]) + abs(b[1] - a[1]) for k, (a, b) in enumerate(pairwise(run))}
    for k in sorted(long, key=lambda k: -long[k]):
        (xa, ya), (xb, yb) = run[k], run[k + 1]
        for share in _SHARES if long[k] >= 2.0 * _HALF_MM else ():
            yield (xa + share * (xb - xa), ya + share * (yb - ya)), k


def _covered(at: Point, points: Sequence[Point], lines: Sequence[tuple[Point, Point]]) -> int:
    """How many points and lines a sign there would cover; another sign keeps as far off again."""
    x, y = at
    near = sum(abs(px - x) < _HALF_MM + 1.0 and abs(py - y) < _HALF_MM + 1.0 for px, py in points)
    return near + sum(
        min(a[0], b[0]) < x + _HALF_MM and max(a[0], b[0]) > x - _HALF_MM
        and min(a[1], b[1]) < y + _HALF_MM and max(a[1], b[1]) > y - _HALF_MM
        for a, b in lines
    )  # fmt: skip


def _is_upright(run: Sequence[Point], piece: int) -> bool:
    return run[piece][0] == run[piece + 1][0]
