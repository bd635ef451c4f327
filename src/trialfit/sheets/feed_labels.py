"""Where the names on a drawing of a water circuit go: each to the nearest place that no line, sign or name lies in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.drawing import Item, Point, Polyline, Text, extent

Box = tuple[float, float, float, float]
Boxes = NDArray[np.float64]

SIZE_PT = 10.0
_LINE_MM = 3.6
_HALF_MM = 1.8
_CLEAR_MM = 0.25
# Longest line of a name in letters; the narrow one first, so that it stays under its own sign.
_WRAPS = (8, 14, 40)
_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
_PASSES = 3


@dataclass(frozen=True)
class Name:
    """Words that want a place.

    Parameters
    ----------
    words
        What they say.
    spots
        Where what they name is: each with the half width and half height to keep off it. [mm]
    bold
        Whether they are heavy.
    """

    words: str
    spots: tuple[tuple[Point, float, float], ...]
    bold: bool = False


def along(run: Sequence[Point]) -> tuple[tuple[Point, float, float], ...]:
    """Give spots along a line, on its longest piece first.

    Parameters
    ----------
    run
        Corners of the line. [mm]

    Returns
    -------
    tuple
        Spots of a `Name`.
    """
    pieces = sorted(pairwise(run), key=lambda ends: -abs(ends[1][0] - ends[0][0]) - abs(ends[1][1] - ends[0][1]))
    return tuple(
        ((xa + share * (xb - xa), ya + share * (yb - ya)), 0.9, 0.9)
        for (xa, ya), (xb, yb) in pieces for share in _SHARES
    )  # fmt: skip


def boxes(item: Item) -> list[Box]:
    """Give what an item covers; an open line covers each of its pieces and not what lies between them.

    Parameters
    ----------
    item
        The item.

    Returns
    -------
    list of tuple
        Least x, least y, greatest x, greatest y. [mm]
    """
    if isinstance(item, Polyline) and not item.closed:
        half = 0.5 * (item.pen.width_mm if item.pen else 0.0)
        return [
            (min(a[0], b[0]) - half, min(a[1], b[1]) - half, max(a[0], b[0]) + half, max(a[1], b[1]) + half)
            for a, b in pairwise(item.points)
        ]
    return [extent([item])]


def placed(names: Sequence[Name], drawn: Sequence[Item], left_mm: float, right_mm: float) -> list[Text]:
    """Find a place for every name.

    Parameters
    ----------
    names
        The names, those that must stand closest first.
    drawn
        What is drawn already.
    left_mm, right_mm
        Edges that no name may reach over. [mm]

    Returns
    -------
    list of Text
        Their lines; a name for which there is no free place whites out what it lies on.
    """
    taken = [box for item in drawn for box in boxes(item)]
    found: list[tuple[float, list[Text]]] = [(1.0, []) for _ in names]
    for _ in range(_PASSES):
        for n, name in enumerate(names):
            if found[n][0] > 0.0:
                others = [extent([text]) for m, (_, texts) in enumerate(found) if m != n for text in texts]
                found[n] = _best(name, np.array([*taken, *others]).reshape(-1, 4), left_mm, right_mm)
    return [text for _, texts in found for text in texts]


def _best(name: Name, taken: Boxes, left_mm: float, right_mm: float) -> tuple[float, list[Text]]:
    """The first place that covers nothing, or the one that covers least, whited out."""
    least, best = float("inf"), list[Text]()
    for texts in _candidates(name):
        box = _grown(extent(texts))
        if box[0] < left_mm or box[2] > right_mm:
            continue
        covered = _covered(box, taken)
        if covered <= 0.0:
            return 0.0, texts
        if covered < least:
            least, best = covered, texts
    # A drawing narrower than the name: it goes where it is wanted first.
    best = best or next(_candidates(name))
    return least, [Text(t.at, t.text, t.size_pt, t.anchor, bold=t.bold, clear=True) for t in best]


def _grown(box: Box) -> Box:
    return box[0] - _CLEAR_MM, box[1] - _CLEAR_MM, box[2] + _CLEAR_MM, box[3] + _CLEAR_MM


def _covered(box: Box, taken: Boxes) -> float:
    """Area a box shares with others; a hair's line counts as a tenth of a millimetre. [mm²]"""
    wide = np.minimum(box[2], taken[:, 2]) - np.maximum(box[0], taken[:, 0])
    high = np.minimum(box[3], taken[:, 3]) - np.maximum(box[1], taken[:, 1])
    met = (wide > 0.0) & (high > 0.0)
    return float((np.maximum(wide[met], 0.1) * np.maximum(high[met], 0.1)).sum())


def _candidates(name: Name) -> Iterator[list[Text]]:
    """Blocks of lines under, over, right and left of each spot, then askew, then farther off."""
    for farther in (0.0, 1.6, 3.2, 5.0, 7.5):
        seen: set[tuple[str, ...]] = set()
        for letters in _WRAPS:
            lines = _broken(name.words, letters)
            if tuple(lines) in seen:
                continue
            seen.add(tuple(lines))
            high = _LINE_MM * (len(lines) - 1)
            wide = max(Text((0.0, 0.0), line, SIZE_PT).width_mm for line in lines)
            for (x, y), half_x, half_y in name.spots:
                down, up = y - half_y - _HALF_MM - 0.3 - farther, y + half_y + _HALF_MM + 0.3 + farther + high
                level, aside = y + 0.5 * high, half_x + 0.6 + 0.5 * wide + farther
                tops = [(x, down), (x, up), (x + aside, level), (x - aside, level)]
                tops += [(x + side * aside, at) for at in (down, up) for side in (1.0, -1.0)]
                tops += [(x + side * 0.5 * aside, at) for at in (down, up) for side in (1.0, -1.0)]
                for cx, top in tops:
                    yield [
                        Text((cx, top - k * _LINE_MM), line, SIZE_PT, bold=name.bold) for k, line in enumerate(lines)
                    ]


def _broken(words: str, letters: int) -> list[str]:
    lines: list[str] = []
    for word in words.split(" "):
        if lines and len(lines[-1]) + len(word) < letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
