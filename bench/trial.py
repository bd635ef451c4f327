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
from trialfit.plan import plan
from trialfit.store.database.folders import take_in
from trialfit.store.database.workshop import open_workshop
from trialfit.survey.solve import survey_of

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
        ]
    finally:
        desk.workshop.close()
        shutil.rmtree(folder)


def _drag(desk: Desk, steps: count[int]) -> dict[str, Any]:
    x, y = 2543.9 + 0.1 * next(steps), 1063.2
    change = {"path": ["marks", "front", "check_cap.face"], "value": [x, y]}
    return tried(desk, "backhead", Changing.model_validate({"base": 1, "changes": [change]}))
