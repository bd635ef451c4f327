"""A water circuit drawn for one setting: what stands under which pressure is told by the weight and dash of its lines.

The signs are plain trade conventions: a ball against its seat, two triangles for a cock (black where it is shut), a
circle for a pump (black while it is driven), an open trough for the tank, a drum for the boiler.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from trialfit.feed.records import BOILER, TANK, Circuit, Way, spoken
from trialfit.feed.report import FeedReport, InUse, Level
from trialfit.feed.settings import Setting
from trialfit.sheets.drawing import Arc, Item, Line, Pen, Point, Polyline, Text, extent, polar
from trialfit.sheets.feed_layout import Laid, laid_out
from trialfit.sheets.layers import Layered, on

LINES: Mapping[Level, Pen] = {
    "no limit": Pen(1.5, (4.0, 0.9, 0.9, 0.9)),
    "boiler": Pen(1.3),
    "may hold boiler": Pen(0.8, (2.2, 1.1)),
    "tank": Pen(0.35),
    "open": Pen(0.25, (0.6, 0.9)),
}
LEGEND: Mapping[Level, str] = {
    "boiler": "boiler pressure now",
    "may hold boiler": "may hold boiler pressure",
    "no limit": "may hold more than boiler pressure",
    "tank": "tank water only",
    "open": "open or empty",
}
_SIGN = Pen(0.35)
_SMALL_PT = 10.0
_LINE_MM = 3.6
_LETTERS = 8


def circuit_drawing(report: FeedReport, use: InUse, wide_mm: float) -> list[Layered]:
    """Draw the circuit as it stands in one setting.

    Parameters
    ----------
    report
        The circuit worked out.
    use
        The setting.
    wide_mm
        Width there is for it. [mm]

    Returns
    -------
    list of Layered
        Lines first, then signs and names, then what the lines mean.
    """
    circuit = report.circuit
    laid = laid_out(circuit, wide_mm - 32.0)
    lines: list[Item] = []
    signs: list[Item] = []
    for n, way in enumerate(circuit.ways):
        lines += _line(way, n, laid, use)
        signs += _way_sign(way, n, laid, use.setting)
    for n, node in enumerate(circuit.nodes):
        signs += _place_sign(circuit, n, laid.places[n], use.setting)
        x, y = laid.places[n]
        if not node.inside:
            signs.append(Text((x, y + 3.0), str(n + 1), _SMALL_PT, bold=True, clear=True))
    for n, way in enumerate(circuit.ways):
        if way.kind == "pipe":
            signs += _free_words(way, laid.runs[n], signs)
    low = min([y for _, y in laid.places.values()] + [y for _, y in laid.leaves.values()]) - 13.0
    legend = _legend(low, use)
    return [*on("outline", lines), *on("thread", signs), *on("dimension", legend)]


def _line(way: Way, n: int, laid: Laid, use: InUse) -> list[Item]:
    """The line of a way, each half as the place it comes from."""
    points, (middle, piece) = laid.runs[n], laid.symbols[n]
    first = (*points[: piece + 1], middle)
    second = (middle, *points[piece + 1 :])
    ends = (use.levels[way.a], use.levels[way.b] if way.b >= 0 else use.levels[way.a])
    found: list[Item] = []
    for half, level in ((first, ends[0]), (second, ends[1])):
        # Half a line of no length would draw nothing but its cap.
        if len(set(half)) > 1:
            found.append(Polyline(half, pen=LINES[level]))
    return found


def _way_sign(way: Way, n: int, laid: Laid, setting: Setting) -> list[Item]:
    (x, y), piece = laid.symbols[n]
    points = laid.runs[n]
    (xa, ya), (xb, yb) = points[piece], points[piece + 1]
    along = (float((xb > xa) - (xb < xa)), float((yb > ya) - (yb < ya)))
    if way.b < 0:
        return _reservoir(way, laid.leaves[n], setting)
    name: list[Item] = _words((x, y - 3.6), spoken(way.name))
    if n in laid.upright:
        name = [Text((x + 2.6, y), spoken(way.name), _SMALL_PT, anchor="start", clear=True)]
    if way.one_way:
        inside = way.part != way.name
        return [*_check((x, y), along), *([] if inside else name)]
    if way.kind == "cock":
        return [*_cock((x, y), along, setting[way.handle] not in way.passes), *name]
    return []


def _free_words(way: Way, run: tuple[Point, ...], signs: Sequence[Item]) -> list[Item]:
    """A pipe's name beside the longest of its pieces where it covers nothing else; failing that, under the first."""
    taken = [extent([each]) for each in signs]
    pieces = sorted(pairwise(run), key=lambda ends: -abs(ends[1][0] - ends[0][0]) - abs(ends[1][1] - ends[0][1]))
    first: list[Item] = []
    for (xa, ya), (xb, yb) in pieces:
        x, y = 0.5 * (xa + xb), 0.5 * (ya + yb)
        for at in ((x, y - 3.4), (x, y + 6.4), (x - 8.0, y), (x + 8.0, y)):
            words = _words(at, spoken(way.name))
            first = first or words
            if not any(_meet(extent(words), each) for each in taken):
                return words
    return first


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _words(at: Point, words: str) -> list[Item]:
    """A name under its line, broken at its blanks so that it stays clear of the next."""
    lines: list[str] = []
    for word in words.split(" "):
        if lines and len(lines[-1]) + len(word) < _LETTERS:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [Text((at[0], at[1] - k * _LINE_MM), line, _SMALL_PT) for k, line in enumerate(lines)]


def _turned(at: Point, along: Point, forward: float, aside: float) -> Point:
    return at[0] + forward * along[0] - aside * along[1], at[1] + forward * along[1] + aside * along[0]


def _check(at: Point, along: Point) -> list[Item]:
    """A ball on its seat; it lifts the way the water goes."""
    mouth = tuple(_turned(at, along, forward, aside) for forward, aside in ((1.2, 1.7), (-1.3, 0.0), (1.2, -1.7)))
    blank = tuple(_turned(at, along, f, a) for f, a in ((-1.5, 1.9), (2.2, 1.9), (2.2, -1.9), (-1.5, -1.9)))
    ball = _turned(at, along, 0.75, 0.0)
    return [Polyline(blank, True, "white", None), Polyline(mouth, pen=_SIGN), Arc(ball, 0.95, pen=_SIGN)]


def _cock(at: Point, along: Point, shut: bool) -> list[Item]:
    bow = [
        tuple(
            _turned(at, along, forward, aside) for forward, aside in ((side * 2.4, 1.5), (0.0, 0.0), (side * 2.4, -1.5))
        )
        for side in (-1.0, 1.0)
    ]
    return [Polyline(points, True, "black" if shut else "white", _SIGN) for points in bow]


def _reservoir(way: Way, at: Point, setting: Setting) -> list[Item]:
    x, y = at
    if way.b == TANK:
        trough = ((x - 8.0, y + 3.0), (x - 8.0, y - 3.0), (x, y - 3.0), (x, y + 3.0))
        return [
            Polyline(trough, pen=_SIGN),
            Line((x - 8.0, y + 1.8), (x, y + 1.8), _SIGN),
            Text((x - 4.0, y - 0.6), "tank", _SMALL_PT),
        ]
    if way.b == BOILER:
        drum = ((x, y - 3.2), (x + 12.0, y - 3.2), (x + 12.0, y + 3.2), (x, y + 3.2))
        return [Polyline(drum, True, "white", Pen(0.7)), Text((x + 6.0, y), "boiler", _SMALL_PT)]
    shut = way.kind == "cap" and setting.get(way.handle, "") not in way.passes
    pumping = setting.get(way.handle) == "pumping"
    words = f"{spoken(way.where)}{', hose on' if pumping else '' if shut else ', open'}"
    label = _words((x + 0.5, y - 4.0), words)
    if pumping:
        return [*_pump((x + 2.2, y), True), *label]
    if shut:
        return [Polyline(((x, y - 1.8), (x + 1.0, y - 1.8), (x + 1.0, y + 1.8), (x, y + 1.8)), True, "black"), *label]
    flare = [Line((x, y), (x + 2.2, y + side * 1.6), _SIGN) for side in (-1.0, 1.0)]
    return [*flare, *label]


def _place_sign(circuit: Circuit, n: int, at: Point, setting: Setting) -> list[Item]:
    source = next((each for each in circuit.sources if each.node == n and each.draws), None)
    x, y = at
    if source is None:
        joined = sum((way.a == n) + (way.b == n) for way in circuit.ways)
        radius = 0.9 if joined > 2 else 0.6
        return [Polyline(_round(at, radius), True, "black", None)]
    name = Text((x, y + 5.0), spoken(source.name), _SMALL_PT, bold=True, clear=True)
    if source.kind == "injector":
        cones = [((x - 3.0, y + 2.0), (x, y + 0.5), (x, y - 0.5), (x - 3.0, y - 2.0)),
                 ((x + 3.0, y + 2.0), (x, y + 0.5), (x, y - 0.5), (x + 3.0, y - 2.0))]  # fmt: skip
        return [*(Polyline(each, True, "white", _SIGN) for each in cones), name]
    return [*_pump(at, setting.get(source.handle) == source.on), name]


def _pump(at: Point, driven: bool) -> list[Item]:
    x, y = at
    wedge = ((x - 1.4, y + 2.2), (x + 2.6, y), (x - 1.4, y - 2.2))
    return [
        Polyline(_round(at, 2.6), True, "white", _SIGN),
        Polyline(wedge, True, "black" if driven else "white", _SIGN),
    ]


def _round(at: Point, radius_mm: float) -> tuple[Point, ...]:
    return tuple(polar(at, radius_mm, turn) for turn in range(0, 360, 15))


def _legend(low: float, use: InUse) -> list[Item]:
    """What the lines mean, of those that are drawn."""
    found: list[Item] = []
    drawn = [level for level in LEGEND if level in use.levels]
    for k, level in enumerate(drawn):
        x, y = 84.0 * (k % 2), low - 5.0 * (k // 2)
        found += [
            Line((x, y), (x + 10.0, y), LINES[level]),
            Text((x + 12.0, y), LEGEND[level], _SMALL_PT, anchor="start"),
        ]
    signs = "Numbers: places as listed. Black cock: shut. Black pump: driven."
    found.append(Text((0.0, low - 5.0 * (1 + (len(drawn) - 1) // 2)), signs, _SMALL_PT, anchor="start"))
    return found
