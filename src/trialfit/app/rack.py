"""The rack of jobs: the first page, and so one that needs neither the calls' framework nor the database's."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse

from trialfit.app.desk import desk_of
from trialfit.app.written_page import page
from trialfit.errors import Refusal
from trialfit.store.database.clocks import clocks_on
from trialfit.store.database.lines import Away, JobLine, list_jobs

_MOST_JOBS = 500
_LONGEST = 400


def rack(request: Request) -> HTMLResponse:
    """Show every job as a card in the rack; those put away are found by their words, or shown alone.

    Parameters
    ----------
    request
        With ``words`` to look for, ``away=true`` for those put away, and in ``put`` the job put away just now.

    Returns
    -------
    HTMLResponse
        The page.

    Raises
    ------
    Refusal
        More words than can be looked for.
    """
    asked = request.query_params
    words, put, away = asked.get("words", ""), asked.get("put", ""), asked.get("away") == "true"
    if len(words) > _LONGEST:
        raise Refusal("the words", f"{len(words)} signs", f"at most {_LONGEST}", "Look for fewer words.")
    refused: Refusal | None = None
    jobs: tuple[JobLine, ...] = ()
    clocks: dict[str, tuple[str, ...]] = {}
    which: Away = "only" if away else "with" if words.strip() else "without"
    try:
        jobs = list_jobs(desk_of(request).workshop, words, _MOST_JOBS, which)
        clocks = clocks_on(desk_of(request).workshop)
    except Refusal as refusal:
        refused = refusal
    return page(request, "rack.html", jobs=jobs, words=words, refused=refused, away=away, put=put, clocks=clocks)
