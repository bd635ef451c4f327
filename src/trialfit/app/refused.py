"""Every refusal as an answer of one shape."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from trialfit.errors import Fault, Refusal
from trialfit.store.database.documents import revision
from trialfit.store.database.records import Conflict, NotThere, Revision, Taken
from trialfit.store.database.trouble import Trouble

_CODES: tuple[tuple[type[Refusal], int], ...] = ((NotThere, 404), (Conflict, 409), (Taken, 409), (Trouble, 503))


def answer_refusals(app: FastAPI) -> None:
    """Have an app answer refusals.

    Parameters
    ----------
    app
        The app.
    """
    app.add_exception_handler(Refusal, _refusal)
    app.add_exception_handler(RequestValidationError, _invalid)
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


def _page(request: Request, code: int, faults: Sequence[Fault]) -> Response:
    from trialfit.app.pages import refused_page

    return refused_page(request, code, faults)


def _refusal(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refusal)
    code = next((code for kind, code in _CODES if isinstance(error, kind)), 422)
    if _wants_page(request):
        return _page(request, code, error.faults)
    said: dict[str, Any] = {"faults": [vars(fault) for fault in error.faults], "conflict": None}
    if isinstance(error, Conflict):
        said["conflict"] = _both(request, error)
    return JSONResponse(said, code)


def _both(request: Request, conflict: Conflict) -> dict[str, Any]:
    theirs = conflict.theirs
    try:
        base = _revision(revision(request.app.state.desk.workshop, theirs.kind, theirs.name, conflict.base))
    except Refusal:
        base = None
    return {"base": base, "yours": conflict.yours, "theirs": _revision(theirs)}


def _revision(found: Revision) -> dict[str, Any]:
    said = {key: value for key, value in vars(found).items() if key not in ("kind", "number")}
    return {**said, "revision": found.number}


def _invalid(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    faults = []
    for each in error.errors():
        if each["type"] == "json_invalid":
            return refusal_answer(
                400, Fault("what was sent", "text that is no JSON", "JSON", "Look at its brackets and quotes.")
            )
        place = ".".join(str(key) for key in each["loc"][1:]) or "what was sent"
        got = (
            "something"
            if "passcode" in place
            else "nothing"
            if each["type"] == "missing"
            else str(each.get("input"))[:100]
        )
        faults.append(Fault(place, got, each["msg"], "Look at /api/openapi.json for what is taken there."))
    return refusal_answer(422, *faults)


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    wanted = {404: "an address that is there", 405: "another method"}.get(error.status_code, str(error.detail))
    path = request.url.path[:200]
    fault = Fault(f"{request.method} {path}", str(error.detail), wanted, "Look at /api/openapi.json for what there is.")
    if _wants_page(request):
        there = "Go by the rack of jobs."
        return _page(request, error.status_code, (Fault("the page", path, "a page that is there", there),))
    return refusal_answer(error.status_code, fault, headers=dict(error.headers or {}))


def failure_answer(error: Exception) -> JSONResponse:
    """Answer a failure of the program itself.

    Parameters
    ----------
    error
        What failed; only its kind is told.

    Returns
    -------
    JSONResponse
        The answer.
    """
    fault = Fault(
        "the program", f"a failure of its own ({type(error).__name__})", "none",
        "Nothing was changed. What went wrong stands in the program's own log.",
    )  # fmt: skip
    return refusal_answer(500, fault)
