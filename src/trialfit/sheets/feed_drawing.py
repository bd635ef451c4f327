"""A water circuit drawn for one setting: what stands under which pressure is told by the weight and dash of its lines.

The signs are plain trade conventions: a ball against its seat, two triangles for a cock (black where it is shut), a
circle for a pump (black while it is driven), an open trough for the tank, a drum for the boiler.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Source, Way, spoken
from trialfit.feed.report import FeedReport, InUse, Level
from trialfit.feed.settings import Setting
from trialfit.sheets.drawing import Arc, Item, Line, Pen, Point, Polyline, Text, extent, polar
from trialfit.sheets.feed_labels import SIZE_PT, Name, along, placed
from trialfit.sheets.feed_layout import Laid, laid_out
from trialfit.sheets.feed_words import LINE_WORDS, place_said
from trialfit.sheets.layers import Layered, on
from trialfit.sheets.words import Words

LINES: Mapping[Level, Pen] = {
    "no limit": Pen(1.5, (4.0, 0.9, 0.9, 0.9)),
    "boiler": Pen(1.3),
    "may hold boiler": Pen(0.8, (2.2, 1.1)),
    "tank": Pen(0.35),
    "open": Pen(0.25, (0.6, 0.9)),
}
_SIGN = Pen(0.35)
# The signs of tank and boiler reach no farther past the outer columns.
_MARGIN_MM = 16.0
# From row to row; the next where a name finds no free place.
_ROWS_MM = (12.5, 15.0, 18.0, 22.0)


def circuit_drawing(report: FeedReport, use: InUse, wide_mm: float, words: Words) -> list[Layered]:
    """Draw the circuit as it stands in one setting.

    Parameters
    ----------
    report
        The circuit worked out.
    use
        The setting.
    wide_mm
        Width there is for it. [mm]
    words
        Of whoever reads it.

    Returns
    -------
    list of Layered
        Lines first, then signs and names, then what the lines mean.
    """
    room_mm = wide_mm - 32.0
    for row_mm in _ROWS_MM:
        lines, signs, names = _drawn(report.circuit, laid_out(report.circuit, room_mm, row_mm), use, room_mm, words)
        if not any(text.clear for text in names):
            break
    legend = _legend(extent([*lines, *signs, *names])[1] - 5.0, use, words)
    return [*on("outline", lines), *on("thread", [*signs, *names]), *on("dimension", legend)]


def _drawn(
    circuit: Circuit, laid: Laid, use: InUse, room_mm: float, words: Words
) -> tuple[list[Item], list[Item], list[Text]]:
    """Lines, signs and names."""
    lines: list[Item] = []
    signs: list[Item] = []
    names: list[Name] = []
    for n, way in enumerate(circuit.ways):
        lines += _line(way, n, laid, use)
        signs += _way_sign(way, n, laid, use.setting, words)
    for n, node in enumerate(circuit.nodes):
        signs += _place_sign(circuit, n, laid.places[n], use.setting)
        if not node.inside:
            names.append(Name(str(n + 1), ((laid.places[n], *_half(circuit, n)),), bold=True))
    names += [Name(spoken(each.name), ((laid.places[each.node], 3.0, 2.6),), bold=True) for each in _drawing(circuit)]
    names += _ways_named(circuit, laid, use.setting, words)
    return lines, signs, placed(names, [*lines, *signs], -_MARGIN_MM, room_mm + _MARGIN_MM)


def _drawing(circuit: Circuit) -> list[Source]:
    return [each for each in circuit.sources if each.draws]


def _half(circuit: Circuit, n: int) -> tuple[float, float]:
    """Half width and height of the sign of a place. [mm]"""
    return (3.0, 2.6) if any(each.node == n for each in _drawing(circuit)) else (0.9, 0.9)


def _ways_named(circuit: Circuit, laid: Laid, setting: Setting, words: Words) -> Iterator[Name]:
    """The names of the ways, at their signs or along their lines; what is inside a pump has none of its own."""
    for n, way in enumerate(circuit.ways):
        if way.b == AIR:
            x, y = laid.leaves[n]
            yield Name(_at_a_mouth(circuit, way, setting, words), (((x + 1.5, y), 3.3, 2.6),))
        elif way.b >= 0 and way.kind == "pipe":
            yield Name(spoken(way.name), along(laid.runs[n]))
        elif way.b >= 0 and ((way.one_way and way.part == way.name) or way.kind == "cock"):
            half = (1.9, 2.4) if n in laid.upright else (2.4, 1.9)
            yield Name(spoken(way.name), ((laid.symbols[n][0], *half),))


def _at_a_mouth(circuit: Circuit, way: Way, setting: Setting, words: Words) -> str:
    at = place_said(circuit, way.where, words)
    if setting.get(way.handle) == "pumping":
        return words.say("settings-drawn-hose", at=at)
    return at if _capped(way, setting) else words.say("settings-drawn-open", at=at)


def _capped(way: Way, setting: Setting) -> bool:
    return way.kind == "cap" and setting.get(way.handle, "") not in way.passes


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


def _way_sign(way: Way, n: int, laid: Laid, setting: Setting, words: Words) -> list[Item]:
    (x, y), piece = laid.symbols[n]
    points = laid.runs[n]
    (xa, ya), (xb, yb) = points[piece], points[piece + 1]
    ahead = (float((xb > xa) - (xb < xa)), float((yb > ya) - (yb < ya)))
    if way.b < 0:
        return _reservoir(way, laid.leaves[n], setting, words)
    if way.one_way:
        return _check((x, y), ahead)
    if way.kind == "cock":
        return _cock((x, y), ahead, setting[way.handle] not in way.passes)
    return []


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


def _reservoir(way: Way, at: Point, setting: Setting, words: Words) -> list[Item]:
    x, y = at
    if way.b == TANK:
        trough = ((x - 8.0, y + 3.0), (x - 8.0, y - 3.0), (x, y - 3.0), (x, y + 3.0))
        return [
            Polyline(trough, pen=_SIGN),
            Line((x - 8.0, y + 1.8), (x, y + 1.8), _SIGN),
            Text((x - 4.0, y - 0.6), words.say("settings-tank"), SIZE_PT),
        ]
    if way.b == BOILER:
        drum = ((x, y - 3.2), (x + 12.0, y - 3.2), (x + 12.0, y + 3.2), (x, y + 3.2))
        return [Polyline(drum, True, "white", Pen(0.7)), Text((x + 6.0, y), words.say("settings-boiler"), SIZE_PT)]
    if setting.get(way.handle) == "pumping":
        return _pump((x + 2.2, y), True)
    if _capped(way, setting):
        return [Polyline(((x, y - 1.8), (x + 1.0, y - 1.8), (x + 1.0, y + 1.8), (x, y + 1.8)), True, "black")]
    return [Line((x, y), (x + 2.2, y + side * 1.6), _SIGN) for side in (-1.0, 1.0)]


def _place_sign(circuit: Circuit, n: int, at: Point, setting: Setting) -> list[Item]:
    source = next((each for each in _drawing(circuit) if each.node == n), None)
    x, y = at
    if source is None:
        joined = sum((way.a == n) + (way.b == n) for way in circuit.ways)
        radius = 0.9 if joined > 2 else 0.6
        return [Polyline(_round(at, radius), True, "black", None)]
    if source.kind == "injector":
        cones = [((x - 3.0, y + 2.0), (x, y + 0.5), (x, y - 0.5), (x - 3.0, y - 2.0)),
                 ((x + 3.0, y + 2.0), (x, y + 0.5), (x, y - 0.5), (x + 3.0, y - 2.0))]  # fmt: skip
        return [Polyline(each, True, "white", _SIGN) for each in cones]
    return _pump(at, setting.get(source.handle) == source.on)


def _pump(at: Point, driven: bool) -> list[Item]:
    x, y = at
    wedge = ((x - 1.4, y + 2.2), (x + 2.6, y), (x - 1.4, y - 2.2))
    return [
        Polyline(_round(at, 2.6), True, "white", _SIGN),
        Polyline(wedge, True, "black" if driven else "white", _SIGN),
    ]


def _round(at: Point, radius_mm: float) -> tuple[Point, ...]:
    return tuple(polar(at, radius_mm, turn) for turn in range(0, 360, 15))


def _legend(low: float, use: InUse, words: Words) -> list[Item]:
    """What the lines mean, of those that are drawn."""
    found: list[Item] = []
    drawn = [level for level in LINE_WORDS if level in use.levels]
    for k, level in enumerate(drawn):
        x, y = 84.0 * (k % 2), low - 5.0 * (k // 2)
        found += [
            Line((x, y), (x + 10.0, y), LINES[level]),
            Text((x + 12.0, y), words.say(LINE_WORDS[level]), SIZE_PT, anchor="start"),
        ]
    signs = words.say("settings-line-signs")
    found.append(Text((0.0, low - 5.0 * (1 + (len(drawn) - 1) // 2)), signs, SIZE_PT, anchor="start"))
    return found
