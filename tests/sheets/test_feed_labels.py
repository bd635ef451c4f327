"""Sheets: no name in a drawing of a water circuit lies on a line, a sign or another name, by plain geometry."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pytest

from feed_jobs import small_job
from trialfit.feed.held import held_by
from trialfit.feed.outcome import outcome_of
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Node, Source, Way
from trialfit.feed.report import FeedReport, InUse, feed_report, level_at
from trialfit.feed.settings import all_settings
from trialfit.sheets.drawing import Arc, Item, Line, Point, Polyline, Text, extent
from trialfit.sheets.feed_drawing import circuit_drawing
from trialfit.sheets.feed_labels import Name, placed
from trialfit.sheets.feed_layout import laid_out
from trialfit.sheets.words import Words
from trialfit.store.folder import read_folder

EXAMPLE = Path(__file__).parents[2] / "examples" / "feed-circuit"
WIDE_MM = 186.0


def _rung() -> Circuit:
    """A pump and its loop, cocks between two legs, checks, a drain: 25 ways and more, named as in a job."""
    ways = [
        Way("suction_pipe", "suction_pipe", "pipe", 0, 1, where="suction_pipe"),
        Way("low_check", "low_check", "check", 1, 2), Way("high_check", "high_check", "check", 2, 3),
        Way("upper_clack", "upper_clack", "check", 9, 10), Way("lower_clack", "lower_clack", "check", 15, 16),
    ]  # fmt: skip
    ways += [
        Way(f"leg_pipe_{n}", f"leg_pipe_{n}", "pipe", n, n + 1, where=f"leg_pipe_{n}")
        for n in (*range(3, 9), *range(11, 15))
    ]  # fmt: skip
    ways += [
        Way(f"cross_cock_{a}", f"cross_cock_{a}", "cock", a, b, f"cross_cock_{a}", frozenset({"open"}))
        for a, b in ((4, 0), (5, 11), (7, 13), (15, 17))
    ]
    ways += [Way("return_pipe", "return_pipe", "pipe", 17, 18, where="return_pipe")]
    ways += [Way("loop_pipe", "loop_pipe", "pipe", 3, 11, where="loop_pipe")]
    ways += [Way("tank", "tank", "opening", 0, TANK), Way("tank_top", "tank_top", "opening", 18, TANK)]
    ways += [Way("bush", "bush", "opening", n, BOILER) for n in (10, 16)]
    ways.append(Way("drain", "drain", "mouth", 17, AIR, where="drain"))
    handles = {way.name: ("open", "shut") for way in ways if way.handle} | {"engine": ("standing", "running")}
    pump = Source("axle_pump", "axle pump", 2, "engine", "running", None, "boiler")
    return Circuit(tuple(Node(f"n{n}", ()) for n in range(19)), tuple(ways), handles, (pump,))


def _report(which: str) -> FeedReport:
    if which == "small":
        return feed_report(small_job())
    if which == "example":
        return feed_report(read_folder(EXAMPLE).job)
    circuit = _rung()
    settings = all_settings(circuit)
    outcome = outcome_of(circuit, settings)
    held = held_by(circuit, outcome)
    places = range(len(circuit.nodes))
    uses = tuple(
        InUse(str(n), "", settings[n], "", (), False, tuple(level_at(outcome, held, k, n) for k in places), ())
        for n in (0, len(settings) - 1)
    )
    return FeedReport(circuit, "80 psi", settings, uses, outcome, held, (), (), (), (None, None))


def _strokes(item: Item) -> tuple[list[tuple[Point, Point]], float]:
    """The straight strokes of an item, and half the thickness of its pen."""
    if isinstance(item, Line):
        return [(item.start, item.end)], 0.5 * item.pen.width_mm
    if isinstance(item, Arc):
        x, y, r = *item.centre, item.radius_mm
        corners = [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r), (x - r, y - r)]
        return list(pairwise(corners)), 0.0
    assert isinstance(item, Polyline)
    points = [*item.points, *([item.points[0]] if item.closed else [])]
    return list(pairwise(points)), 0.5 * item.pen.width_mm if item.pen else 0.0


def _crosses(stroke: tuple[Point, Point], box: tuple[float, float, float, float], half_mm: float) -> bool:
    """Whether some of a stroke is within a box: the share of it left after clipping by each side."""
    (xa, ya), (xb, yb) = stroke
    first, last = 0.0, 1.0
    for at, step, low, high in ((xa, xb - xa, box[0], box[2]), (ya, yb - ya, box[1], box[3])):
        low, high = low - half_mm, high + half_mm
        if step == 0.0:
            if not low < at < high:
                return False
            continue
        near, far = sorted(((low - at) / step, (high - at) / step))
        first, last = max(first, near), min(last, far)
    return first < last


@pytest.mark.parametrize("which", ["small", "example", "rung"])
def test_no_name_lies_on_anything(which: str) -> None:
    report = _report(which)
    assert which != "rung" or len(report.circuit.ways) >= 25
    for use in report.in_use:
        items = [each.item for each in circuit_drawing(report, use, WIDE_MM, Words())]
        left, _, right, _ = extent(items)
        assert right - left <= WIDE_MM + 1e-9
        # Words that stand inside their own sign, as tank and boiler do.
        texts = [(each.text, extent([each])) for each in items if isinstance(each, Text)]
        names = [(words, box) for words, box in texts if words not in ("tank", "boiler")]
        for item in (each for each in items if not isinstance(each, Text)):
            strokes, half_mm = _strokes(item)
            crossed = [words for words, box in names if any(_crosses(each, box, half_mm) for each in strokes)]
            assert crossed == [], (use.name, item)
        for (one, a), (other, b) in combinations(texts, 2):
            apart = min(a[2], b[2]) - max(a[0], b[0]) < 1e-6 or min(a[3], b[3]) - max(a[1], b[1]) < 1e-6
            assert apart, (use.name, one, other)


@pytest.mark.parametrize("which", ["small", "example", "rung"])
def test_no_sign_sits_on_another(which: str) -> None:
    """Checks and cocks are 3.6 to 4.8 mm long."""
    circuit = _report(which).circuit
    laid = laid_out(circuit, WIDE_MM - 32.0)
    signs = [laid.symbols[n][0] for n, way in enumerate(circuit.ways) if way.b >= 0 and way.kind in ("check", "cock")]
    assert len(signs) > 1
    assert all(max(abs(a[0] - b[0]), abs(a[1] - b[1])) >= 3.6 for a, b in combinations(signs, 2))


def test_a_name_with_no_free_place_whites_out_what_it_lies_on() -> None:
    """All that is near is black."""
    black = Polyline(((-99.0, -99.0), (99.0, -99.0), (99.0, 99.0), (-99.0, 99.0)), True, "black")
    (text,) = placed([Name("drain", (((0.0, 0.0), 1.0, 1.0),))], [black], -90.0, 90.0)
    assert text.clear
    (free,) = placed([Name("drain", (((0.0, 0.0), 1.0, 1.0),))], [], -90.0, 90.0)
    assert not free.clear and free.at[1] < -1.0
