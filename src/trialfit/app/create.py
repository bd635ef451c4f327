"""The app, put together: the guard, the first page, and behind them the calls and all other pages."""

from __future__ import annotations

import gc
from importlib import import_module
from pathlib import Path
from threading import Lock, Thread
from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Mount, Route, Router
from starlette.types import Receive, Scope, Send

from trialfit.app.desk import Desk
from trialfit.app.guards import Guard
from trialfit.app.rack import rack
from trialfit.app.refused import answer_refusals
from trialfit.app.settings import Settings
from trialfit.app.static_files import StaticFromMemory
from trialfit.store.database.workshop import open_workshop

if TYPE_CHECKING:
    from fastapi import FastAPI

_STATIC = Path(__file__).parent / "static"
_NOWHERE: Scope = {"type": "http", "method": "GET", "path": "/nowhere", "root_path": "", "headers": []}


class Calls:
    """The calls and all pages but the first, made when one of them is first asked for.

    To load their framework and the database's library takes longer than all the rest of the start.

    Parameters
    ----------
    desk
        The desk.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._lock = Lock()
        self._made: FastAPI | None = None

    def made(self) -> FastAPI:
        """Give them, made now if they are not yet.

        Returns
        -------
        FastAPI
            The same one every time.
        """
        with self._lock:
            if self._made is None:
                gc.disable()  # what is loaded now stays; looking for what does not would take a tenth of the time
                from trialfit.app.calls import create_calls

                self._made = create_calls(self._desk)
                gc.freeze()
                gc.enable()
            return self._made

    def make_beforehand(self) -> None:
        """Begin to make them, and what they will show first, and do not wait; nor does the program's end."""
        if self._made is None:
            Thread(target=self._beforehand, name="beforehand", daemon=True).start()

    def _beforehand(self) -> None:
        made = self.made()
        for route in made.routes:  # the framework makes each of them ready as it is first asked, and all else waits
            route.matches(_NOWHERE)
        from trialfit.app.copies import make_ready_likely

        make_ready_likely(self._desk)
        import_module("trialfit.job.read")  # whatever job is opened, its document is read

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        made = self._made
        if made is None:
            made = await run_in_threadpool(self.made)
        await made(scope, receive, send)


def create_app(settings: Settings) -> Starlette:
    """Make the app.

    Parameters
    ----------
    settings
        How it is served.

    Returns
    -------
    Starlette
        With the workshop open; `app.state.desk` is the `Desk`, `app.state.calls` the `Calls`.

    Raises
    ------
    Refusal
        The workshop cannot be opened.
    """
    desk = Desk(settings, open_workshop(settings.workshop, settings.database))
    calls = Calls(desk)

    def first(request: Request) -> HTMLResponse:
        shown = rack(request)
        shown.background = BackgroundTask(calls.make_beforehand)  # whoever looks at the rack will open a job
        return shown

    app = Starlette(middleware=[Middleware(Guard, desk=desk)])
    app.router = Router(
        [Route("/", first), Mount("/static", StaticFromMemory(_STATIC))], redirect_slashes=False, default=calls
    )
    app.state.desk = desk
    app.state.calls = calls
    answer_refusals(app)
    return app
