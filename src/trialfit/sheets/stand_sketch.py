"""A sketch of where to stand: seen from above with the owner at the foot, and how high, seen from the side.

It is to scale with itself but not true to size, so distances are written on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, degrees, floor, hypot, radians, sin

from trialfit.sheets.drawing import (
    FINE,
    HIDDEN,
    OUTLINE,
    THIN,
    Arc,
    Drawing,
    Item,
    Line,
    Point,
    Polyline,
    Text,
    extent,
    polar,
)
from trialfit.survey.asks import Ask, Scenery
from trialfit.survey.standing import Bearing

LETTERS = "ABCDEFGH"

_WORDS_PT, _LETTER_PT = 10.0, 13.0
_MARGIN_MM = 8.0
_DOT_MM = 0.5
_LONG_MM, _WIDE_MM = 3.4, 3.0
_APART_MM = 1.6
_BESIDE_MM = 4.4
_ARROW_MM = 2.4
# An arrow ends this share of its way from the middle of the engine, so that what lies there stays to be seen.
_STOPS_SHORT = 0.3
_BEYOND_DEG = 12.0
_NEARLY = 0.15
_INWARD = 0.62


@dataclass(frozen=True)
class _Sheet:
    """From the engine's millimetres to the paper's."""

    scale: float
    left_mm: float
    low_mm: float

    def at(self, place: Point) -> Point:
        return self.left_mm + self.scale * place[0], self.low_mm + self.scale * place[1]


@dataclass(frozen=True)
class _Eye:
    """A photograph with what it is called in the sketch."""

    place: Point
    called: str
    asked: bool


@dataclass(frozen=True)
class SketchWords:
    """What stands in the sketch.

    Parameters
    ----------
    engine, card, bench
        What each is called.
    ring_mm
        From one arc of distance to the next. [mm]
    ring, unit
        How much that is in the unit written at the arcs. [unit]
    """

    engine: str = "engine"
    card: str = "card"
    bench: str = "bench"
    ring_mm: float = 100.0
    ring: int = 10
    unit: str = "cm"


def plan_view(
    scenery: Scenery, asked: Sequence[Ask], width_mm: float, height_mm: float, words: SketchWords | None = None
) -> Drawing:
    """Draw the engine from above, with the photographs that were taken and those that are asked for.

    Parameters
    ----------
    scenery
        What lies where.
    asked
        The photographs asked for, lettered A, B ... in this order.
    width_mm, height_mm
        Size of the paper it may fill. [mm]
    words
        What stands in it; English without.

    Returns
    -------
    Drawing
        Front at the foot.
    """
    words = words or SketchWords()
    eyes = _eyes(scenery, asked, _from_above)
    points = [(x, -y) for x, y, _ in scenery.points_mm]
    card = [(x, -y) for x, y, _ in scenery.card_mm]
    # Angles are counted from the back, so that nothing lies across the join: the owner stands round 180 deg of it.
    turns = [degrees(atan2(-eye.place[0], -eye.place[1])) for eye in eyes] or [0.0]
    rings = _rings(eyes, -90.0 - max(turns) - _BEYOND_DEG, -90.0 - min(turns) + _BEYOND_DEG, words)
    sheet = _fitted([*(eye.place for eye in eyes), *points, *card, (0.0, 0.0), *_ends(rings)], width_mm, height_mm)
    items = _drawn(sheet, rings, words)
    over = [*_engine(sheet, points, words.engine), *_cameras(sheet, eyes)]
    if card:
        outline = tuple(sheet.at(place) for place in card)
        items += [Polyline(outline, True, "white", THIN), _card_word(outline, over, words.card)]
    return Drawing(width_mm, height_mm, (*items, *over))


def height_view(
    scenery: Scenery, asked: Sequence[Ask], width_mm: float, height_mm: float, words: SketchWords | None = None
) -> Drawing:
    """Draw how far away and how high the photographs are taken, all turned round to one side.

    Parameters
    ----------
    scenery
        What lies where.
    asked
        The photographs asked for, lettered A, B ... in this order.
    width_mm, height_mm
        Size of the paper it may fill. [mm]
    words
        What stands in it; English without.

    Returns
    -------
    Drawing
        The engine at the left, the bench below.
    """
    words = words or SketchWords()
    eyes = _eyes(scenery, asked, _from_the_side)
    points = [(y, z) for _, y, z in scenery.points_mm]
    bench = min([z for _, _, z in scenery.card_mm], default=min([z for _, z in points], default=0.0) - 20.0)
    turns = [degrees(atan2(eye.place[1], eye.place[0])) for eye in eyes] or [20.0]
    rings = _rings(eyes, min(*turns, 0.0), max(turns) + _BEYOND_DEG, words)
    places = [*(eye.place for eye in eyes), *points, (0.0, 0.0), (0.0, bench), *_ends(rings)]
    sheet = _fitted(places, width_mm, height_mm)
    items = _drawn(sheet, rings, words)
    level = sheet.at((0.0, bench))[1]
    items += [Line((1.0, level), (width_mm - 1.0, level), OUTLINE)]
    items += [Text((width_mm - 1.0, level - 3.0), words.bench, _WORDS_PT, "end")]
    return Drawing(width_mm, height_mm, (*items, *_engine(sheet, points, words.engine), *_cameras(sheet, eyes)))


def _eyes(scenery: Scenery, asked: Sequence[Ask], seen: Callable[[Bearing], Point]) -> list[_Eye]:
    stands = [each.stand.bearing for each in asked if each.stand is not None]
    taken = [_Eye(seen(stood.bearing), str(number), False) for number, stood in enumerate(scenery.stood, 1)]
    wanted = [_Eye(seen(stand), letter, True) for letter, stand in zip(LETTERS, stands, strict=False)]
    return [*taken, *wanted]


def _from_above(bearing: Bearing) -> Point:
    level = bearing.distance_mm * cos(radians(bearing.height_deg))
    return level * sin(radians(bearing.azimuth_deg)), -level * cos(radians(bearing.azimuth_deg))


def _from_the_side(bearing: Bearing) -> Point:
    height = radians(bearing.height_deg)
    return bearing.distance_mm * cos(height), bearing.distance_mm * sin(height)


def _fitted(places: Sequence[Point], width_mm: float, height_mm: float) -> _Sheet:
    xs, ys = [x for x, _ in places], [y for _, y in places]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((width_mm - 2 * _MARGIN_MM) / max(wide, 1.0), (height_mm - 2 * _MARGIN_MM) / max(high, 1.0))
    middle = (max(xs) + min(xs)) / 2.0, (max(ys) + min(ys)) / 2.0
    return _Sheet(scale, width_mm / 2.0 - scale * middle[0], height_mm / 2.0 - scale * middle[1])


def _card_word(outline: Sequence[Point], over: Sequence[Item], word: str) -> Text:
    """In whichever corner of the card there is room."""
    middle = sum(x for x, _ in outline) / 4.0, sum(y for _, y in outline) / 4.0
    tries = [
        Text((middle[0] + _INWARD * (x - middle[0]), middle[1] + _INWARD * (y - middle[1])), word, _WORDS_PT)
        for x, y in outline
    ]
    return next((each for each in tries if not any(_touch(each, other) for other in over)), tries[0])


def _rings(eyes: Sequence[_Eye], from_deg: float, to_deg: float, words: SketchWords) -> list[Arc]:
    """Arcs a tenth of a metre or so apart round the middle of the engine, the outer of them."""
    furthest = max([hypot(*eye.place) for eye in eyes], default=300.0)
    last = max(floor(furthest / words.ring_mm + _NEARLY), 1)
    return [
        Arc((0.0, 0.0), words.ring_mm * step, from_deg, to_deg, FINE) for step in range((2 * last + 2) // 3, last + 1)
    ]


def _ends(rings: Sequence[Arc]) -> list[Point]:
    return [corner for ring in rings for corner in ring.corners()]


def _drawn(sheet: _Sheet, rings: Sequence[Arc], words: SketchWords) -> list[Item]:
    """The arcs, with how far they are written at the end where the angle is greatest."""
    items: list[Item] = []
    for ring in rings:
        centre, radius = sheet.at(ring.centre), ring.radius_mm * sheet.scale
        items.append(replace(ring, centre=centre, radius_mm=radius))
        far = f"{words.ring * round(ring.radius_mm / words.ring_mm)} {words.unit}"
        items.append(Text(polar(centre, radius, ring.to_deg), far, _WORDS_PT, clear=True))
    return items


def _engine(sheet: _Sheet, points: Sequence[Point], word: str) -> list[Item]:
    if not points:
        return [Text(sheet.at((0.0, 0.0)), word, _WORDS_PT, clear=True)]
    dots = [sheet.at(place) for place in points]
    middle = (min(x for x, _ in dots) + max(x for x, _ in dots)) / 2.0
    above = Text((middle, max(y for _, y in dots) + 4.0), word, _WORDS_PT)
    return [above, *(_dot(at) for at in dots)]


def _dot(at: Point) -> Polyline:
    around = tuple((at[0] + x * _DOT_MM, at[1] + y * _DOT_MM) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    return Polyline(around, True, "black", None)


def _cameras(sheet: _Sheet, eyes: Sequence[_Eye]) -> list[Item]:
    """A wedge that opens towards the engine at every eye; one that is asked for is black, with an arrow."""
    aim = sheet.at((0.0, 0.0))
    arrows: list[Item] = []
    wedges: dict[str, Polyline] = {}
    words: list[Text] = []
    # The asked first: where there is little room, they have the first choice of it; and last on the paper, over all.
    for eye in sorted(eyes, key=lambda each: not each.asked):
        at = sheet.at(eye.place)
        away = hypot(at[0] - aim[0], at[1] - aim[1]) or 1.0
        x, y = (aim[0] - at[0]) / away, (aim[1] - at[1]) / away
        front = at[0] + _LONG_MM * x, at[1] + _LONG_MM * y
        half = _WIDE_MM / 2.0
        wedge = (at, (front[0] - half * y, front[1] + half * x), (front[0] + half * y, front[1] - half * x))
        if eye.asked:
            arrows += _arrow(front, (aim[0] - _STOPS_SHORT * away * x, aim[1] - _STOPS_SHORT * away * y), (x, y))
        wedges[eye.called] = Polyline(wedge, True, "black" if eye.asked else "white", THIN)
        words.append(_beside(eye, at, (x, y), [*words, *wedges.values()]))
    return [*arrows, *reversed(wedges.values()), *reversed(words)]


def _beside(eye: _Eye, at: Point, way: Point, taken: Sequence[Item]) -> Text:
    """What an eye is called, behind it, or beside it where another stands behind."""
    back = degrees(atan2(-way[1], -way[0]))
    size = _LETTER_PT if eye.asked else _WORDS_PT
    tries = [
        Text(polar(at, away * _BESIDE_MM, back + turn), eye.called, size, bold=eye.asked, clear=True)
        for away in (1.0, 2.0)
        for turn in (0.0, 30.0, -30.0, 60.0, -60.0, 100.0, -100.0)
    ]
    # Two names side by side would be read as one.
    apart = [_APART_MM if isinstance(other, Text) else 0.0 for other in taken]
    free = (
        each
        for each in tries
        if not any(_touch(each, other, room_mm) for other, room_mm in zip(taken, apart, strict=True))
    )
    return next(free, tries[0])


def _touch(one: Item, other: Item, room_mm: float = 0.0) -> bool:
    left, low, right, high = extent([one])
    other_left, other_low, other_right, other_high = extent([other])
    left, low, right, high = left - room_mm, low - room_mm, right + room_mm, high + room_mm
    return left < other_right and other_left < right and low < other_high and other_low < high


def _arrow(start: Point, end: Point, way: Point) -> list[Item]:
    x, y = way
    back = end[0] - _ARROW_MM * x, end[1] - _ARROW_MM * y
    side = 0.32 * _ARROW_MM
    head = (end, (back[0] - side * y, back[1] + side * x), (back[0] + side * y, back[1] - side * x))
    return [Line(start, back, HIDDEN), Polyline(head, True, "black", None)]
