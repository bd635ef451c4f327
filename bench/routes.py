"""Routes among ten obstacles against a dense grid and a penalty method; the demo's whole fit-up; strain by Pynite."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from scipy.optimize import minimize

from backhead import folder, looked
from bench.clock import Row, least_ms
from bench.fitup import frame, two_bend_pipe
from route_scenes import ALLOWED, BENDER, WANTED_MM, RouteScene, scene
from trialfit.fitup.clearing import rough_spare_mm, which_clear
from trialfit.fitup.families import three_bends_of, two_bends_of
from trialfit.fitup.fit import fit_of
from trialfit.fitup.in_place import with_pipes, without_pipes
from trialfit.fitup.other_way import other_way
from trialfit.fitup.records import Array
from trialfit.fitup.route_findings import route_findings
from trialfit.fitup.seek import Wish, seek
from trialfit.fitup.sought import THREE_CELLS, Asked
from trialfit.fitup.strain import finger_tight, seated
from trialfit.fitup.wanted import wanted_pipe
from trialfit.fitup.ways import ways_of
from trialfit.fitup.ways_out import hold
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts
from trialfit.survey.solve import solved_of, written

RADIUS_MM = BENDER.radius_mm
_SEED, _BLOCKED_SEED = 10, 8


def rows() -> list[Row]:
    """Time a route among ten things with two bends and with three, the demo's fit-up, and strain.

    Returns
    -------
    list of Row
        Ours and the alternatives on the same scene or pipe.
    """
    drawn, blocked = scene(_SEED), scene(_BLOCKED_SEED)
    two = partial(_sought, drawn, 2)
    three = partial(_sought, drawn, 3)
    asked = Asked(drawn.start, drawn.end, BENDER, 2, ALLOWED)
    taken = seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around).vertices_mm
    assert taken is not None
    grid, penalty = partial(_grid, drawn), partial(_penalty, drawn)
    other = partial(other_way, asked, drawn.around, taken)
    pipe, _ = two_bend_pipe()
    held, shift = hold(pipe), np.array([0.3, -0.2, 0.4])
    return [
        Row("two bends among ten: trialfit", least_ms(two), f"{two():.2f} mm"),
        Row("two bends among ten: dense grid, 0.5 mm", least_ms(grid, 1), f"{grid():.2f} mm"),
        Row("two bends among ten: scipy, penalty, 12 starts", least_ms(penalty, 1), f"{penalty():.2f} mm"),
        Row("two bends, none that clears: trialfit", least_ms(partial(_sought, blocked, 2), 3)),
        Row("two bends, none that clears: dense grid, 0.5 mm", least_ms(partial(_grid, blocked), 1)),
        Row("two bends among ten: trialfit, the next best besides", least_ms(other, 3)),
        Row("three bends among ten: trialfit", least_ms(three, 3), f"{three():.2f} mm"),
        Row("the demo: place, lay out, chance, strain, findings", least_ms(_demo(), 3), "survey done before"),
        Row(
            "strain finger tight and seated: trialfit, give included",
            least_ms(lambda: (hold(pipe), finger_tight(held, shift), seated(held, shift, np.zeros(3)))),
        ),
        Row("strain: Pynite, 36 bars, one load", least_ms(partial(frame, pipe, 12), 3)),
    ]  # fmt: skip


def _sought(drawn: RouteScene, bends: int) -> float:
    if bends == 2:
        return seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around).length_mm
    family = three_bends_of(drawn.start, drawn.end, BENDER)
    return seek(family, RADIUS_MM, drawn.around, Wish(most_cells=THREE_CELLS)).length_mm


def _grid(drawn: RouteScene) -> float:
    """Every pair of corners each 0.5 mm, in the order of length, until one clears."""
    family = two_bends_of(drawn.start, drawn.end, BENDER)
    out = np.sqrt(np.arange(0.25, 120.0, 0.5) / family.reach_mm)
    cells = np.column_stack([each.ravel() for each in np.meshgrid(out, out)])
    found = family.measure(cells)
    sound = np.flatnonzero(found.spare_mm >= 0)
    order = sound[np.argsort(found.length_mm[sound])]
    for begin in range(0, len(order), 512):
        block = order[begin : begin + 512]
        clear = which_clear(ways_of(family.vertices_mm(cells[block]), RADIUS_MM), drawn.around)
        if clear.any():
            return float(found.length_mm[block[np.argmax(clear)]])
    return float("inf")


def _penalty(drawn: RouteScene) -> float:
    """Length and a steep price on what is missing of straights and clearance, from twelve starts."""
    family = two_bends_of(drawn.start, drawn.end, BENDER)

    def price(cell: Array) -> float:
        cells = np.clip(cell, 0.0, 1.0)[None]
        found = family.measure(cells)
        room, _ = rough_spare_mm(ways_of(family.vertices_mm(cells), RADIUS_MM), drawn.around, 60)
        missing = max(-float(room[0]), 0.0) + max(-float(found.spare_mm[0]), 0.0)
        return float(found.length_mm[0]) + 1000.0 * missing

    best = float("inf")
    for start in np.random.default_rng(1).uniform(0.1, 0.7, (12, 2)):
        cell = np.clip(minimize(price, start, method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-3}).x, 0.0, 1.0)
        ways = ways_of(family.vertices_mm(cell[None]), RADIUS_MM)
        if which_clear(ways, drawn.around.with_clearance(WANTED_MM - 0.1))[0]:
            best = min(best, float(ways.lengths_mm[0]))
    return best


def _demo() -> Callable[[], object]:
    job, sighted, shop = folder().job, looked().sighted, assumed_shop()
    survey, parts = written(job, sighted, solved_of(job, sighted)), build_parts(job)
    working_mpa = float(job.engine.working_pressure.to("MPa"))

    def run() -> object:
        before = without_pipes(job, parts, survey)
        pipes = [
            wanted_pipe(name, entry, parts, survey, shop, before.scene, job.joints) for name, entry in job.pipes.items()
        ]
        with_pipes(job, before, pipes)
        return [(fit_of(pipe, parts, survey, shop, working_mpa), route_findings(pipe)) for pipe in pipes]

    return run
