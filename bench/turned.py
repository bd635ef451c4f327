"""A turned part with its drawing, beside a general solid library that only makes its solid."""

from __future__ import annotations

from functools import partial

import manifold3d
import numpy as np

from bench.clock import Row, least_ms
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.making.turned.bench import turning_bench
from trialfit.making.turned.findings import turned_findings
from trialfit.making.turned.from_job import turned_part
from trialfit.making.turned.plan import plan_turned
from trialfit.sheets.svg import svg
from trialfit.sheets.turned import drawing_for
from turned_jobs import TEXT

_FACETS = 180


def rows() -> list[Row]:
    """Time the threaded tail of the tests.

    Returns
    -------
    list of Row
        Ours, with findings and drawing; theirs, the bare solid by its profile.
    """
    job = read_job(TEXT)
    bench = turning_bench(assumed_shop())

    def worked_out() -> object:
        plan = plan_turned(turned_part("tail", job.turned["tail"], job.joints, bench), bench)
        return plan, turned_findings(plan, bench)

    def drawn() -> str:
        plan = plan_turned(turned_part("tail", job.turned["tail"], job.joints, bench), bench)
        turned_findings(plan, bench)
        return svg(drawing_for(plan, "a4").layered, "tail")

    return [
        Row("threaded tail: lengths, walls, tools, steps, findings", least_ms(worked_out)),
        Row("the same with its section as SVG", least_ms(drawn), "to stay under 50"),
        Row("manifold3d: a solid of revolution with a cross hole", least_ms(partial(_solid)), "no figures, no drawing"),
    ]


def _solid() -> float:
    # The tail's outline, threads at their core, about its axis; the hole across it.
    outline = [(0.0, 0.0), (3.25, 0.0), (3.25, 4.0), (5.0, 4.4), (5.0, 10.0), (2.77, 10.4), (2.77, 18.0), (0.0, 18.0)]
    body = manifold3d.Manifold.revolve(manifold3d.CrossSection([np.array(outline)]), _FACETS)
    bore = manifold3d.Manifold.cylinder(20.0, 1.98, circular_segments=_FACETS).translate((0, 0, -1))
    hole = manifold3d.Manifold.cylinder(20.0, 1.0, circular_segments=_FACETS).rotate((90, 0, 0)).translate((0, 10, 7))
    return float((body - bore - hole).volume())
