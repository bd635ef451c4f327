"""Every refusal as an answer of one shape."""

from __future__ import annotations

import logging
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from trialfit.app.desk import desk_of
from trialfit.app.written_page import refused_page
from trialfit.errors import Fault, Refusal
from trialfit.store.database.records import Conflict, NotThere, Revision, Taken
from trialfit.store.database.trouble import Trouble

_log = logging.getLogger("trialfit")

_CODES: tuple[tuple[type[Refusal], int], ...] = ((NotThere, 404), (Conflict, 409), (Taken, 409), (Trouble, 503))


def answer_refusals(app: Starlette) -> None:
    """Have an app answer refusals.

    Parameters
    ----------
    app
        The app.
    """
    app.add_exception_handler(Refusal, _refusal)
    app.add_exception_handler(HTTPException, _http)


def refusal_answer(code: int, *faults: Fault, headers: dict[str, str] | None = None) -> JSONResponse:
    """Write a refusal.

    Parameters
    ----------
    code
        HTTP's code. [-]
    *faults
        What is wrong.
    headers
        Further headers.

    Returns
    -------
    JSONResponse
        The answer.
    """
    return JSONResponse({"faults": [vars(fault) for fault in faults], "conflict": None}, code, headers)


def _wants_page(request: Request) -> bool:
    """Whether a person asked, by the address line of a browser."""
    path = request.url.path
    return "text/html" in request.headers.get("accept", "") and not path.startswith(("/api/", "/static/"))


def _refusal(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refusal)
    code = next((code for kind, code in _CODES if isinstance(error, kind)), 422)
    if _wants_page(request):
        return refused_page(request, code, error.faults)
    said: dict[str, Any] = {"faults": [vars(fault) for fault in error.faults], "conflict": None}
    if isinstance(error, Conflict):
        said["conflict"] = _both(request, error)
    return JSONResponse(said, code)


def _both(request: Request, conflict: Conflict) -> dict[str, Any]:
    from trialfit.store.database.documents import revision  # the first page has none, and need not load it

    theirs = conflict.theirs
    try:
        base = _revision(revision(desk_of(request).workshop, theirs.kind, theirs.name, conflict.base))
    except Refusal:
        base = None
    return {"base": base, "yours": conflict.yours, "theirs": _revision(theirs)}


def _revision(found: Revision) -> dict[str, Any]:
    said = {key: value for key, value in vars(found).items() if key not in ("kind", "number")}
    return {**said, "revision": found.number}


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    wanted = {404: "an address that is there", 405: "another method"}.get(error.status_code, str(error.detail))
    path = request.url.path[:200]
    fault = Fault(f"{request.method} {path}", str(error.detail), wanted, "Look at /api/openapi.json for what there is.")
    if _wants_page(request):
        there = "Go by the rack of jobs."
        return refused_page(request, error.status_code, (Fault("the page", path, "a page that is there", there),))
    return refusal_answer(error.status_code, fault, headers=dict(error.headers or {}))


class OwnFailures:
    """Answers a failure of the program itself; only its kind is told.

    Parameters
    ----------
    app
        What may fail.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        begun = False

        async def noting(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self._app(scope, receive, noting)
        except Exception as error:
            if scope["type"] != "http" or begun:
                raise
            _log.exception("%s %s failed", scope["method"], scope["path"])
            fault = Fault(
                "the program", f"a failure of its own ({type(error).__name__})", "none",
                "Nothing was changed. What went wrong stands in the program's own log.",
            )  # fmt: skip
            await refusal_answer(500, fault)(scope, receive, send)
