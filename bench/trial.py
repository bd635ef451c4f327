"""A mark moved by finger, as the server answers it, against the whole survey and the whole plan."""

from __future__ import annotations

import shutil
import tempfile
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

from bench.clock import Row, least_ms
from trialfit.app.desk import Desk
from trialfit.app.live import tried
from trialfit.app.rest.documents import Changing
from trialfit.app.settings import Settings
from trialfit.app.working import job_at, looked_at, shop_now
from trialfit.fitup.ends_in_place import ends_in_place
from trialfit.fitup.hand_spanner import spanners_of
from trialfit.fitup.in_place import with_pipes, without_pipes
from trialfit.fitup.order.plan import orders_of
from trialfit.fitup.scene import Scene
from trialfit.fitup.tubes_in_place import pipe_thing
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts
from trialfit.plan import plan
from trialfit.store.database.folders import take_in
from trialfit.store.database.workshop import open_workshop
from trialfit.survey.gather import Sighted
from trialfit.survey.solve import survey_of
from trialfit.survey.threads import on_one_thread

_BACKHEAD = Path(__file__).parents[1] / "examples" / "backhead"


def rows() -> list[Row]:
    """Time what a page asks for while a mark is dragged.

    Returns
    -------
    list of Row
        The trial is to stay under 100 ms, the browser's own share besides.
    """
    folder = Path(tempfile.mkdtemp(prefix="trialfit-bench-"))
    desk = Desk(Settings(folder), open_workshop(folder))
    try:
        take_in(desk.workshop, _BACKHEAD, "bench")
        _, job = job_at(desk, "backhead")
        looked, (_, shop) = looked_at(desk, "backhead", job), shop_now(desk)
        steps = count()
        return [
            Row("trial: points, pipe, chance of fit", least_ms(partial(_drag, desk, steps), 15), "to stay under 100"),
            Row("the survey from the beginning", least_ms(partial(survey_of, job, looked.sighted), 7), "points alone"),
            Row("the whole plan", least_ms(partial(plan, job, shop, looked.sighted, looked.twice), 3)),
            Row("of which the fit-up", _fit_up_ms(job, shop, looked.sighted), "to stay under 1000"),
        ]
    finally:
        desk.workshop.close()
        shutil.rmtree(folder)


def _fit_up_ms(job: Job, shop: Shop, sighted: Sighted) -> float:
    """Everything in place, the pipes' routes and the next best, the order off and on; the survey is there. [ms]"""
    parts, survey = build_parts(job), survey_of(job, sighted)

    @on_one_thread
    def work() -> object:
        stands = without_pipes(job, parts, survey)
        ends, scene = ends_in_place(job, parts, survey, stands), stands.scene
        pipes, spanners = [], spanners_of(job, shop)
        for name, entry in job.pipes.items():
            pipes.append(wanted_pipe(name, entry, ends.parts, ends.survey, shop, scene, job.joints, spanners))
            scene = Scene((*scene.things, pipe_thing(pipes[-1], entry.what or name, ())))
        return orders_of(job, with_pipes(job, stands, pipes), survey, shop, tuple(pipes))

    return least_ms(work, 3)


def _drag(desk: Desk, steps: count[int]) -> dict[str, Any]:
    x, y = 2543.9 + 0.1 * next(steps), 1063.2
    change = {"path": ["marks", "front", "check_cap.face"], "value": [x, y]}
    return tried(desk, "backhead", Changing.model_validate({"base": 1, "changes": [change]}))
